"""The distribution's Chromium, kept on this machine, and pages that remember what went wrong in them."""

import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
]
# An answer of 403, 404, 409 or 422 is often the point of a test; Chromium logs each as an error. A fragment that is
# still under way when a newer one is asked for, or the page is left, is given up; htmx logs that as an error too.
EXPECTED_NOISE = re.compile(
    r"Failed to load resource: the server responded with a status of 4\d\d|htmx:(sendAbort|afterRequest), "
)


def executable() -> str:
    for name in ("chromium", "chromium-browser"):
        if found := shutil.which(name):
            return found
    raise RuntimeError("Chromium is missing; `make test` installs it, or: apt-get install chromium")


@contextmanager
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=executable(), args=ARGUMENTS)
        try:
            yield browser
        finally:
            browser.close()


class Desk:
    """Opens pages, each in a context of its own, so that three people can be signed in at once."""

    def __init__(self, browser: Browser, *, base_url: str) -> None:
        self._browser = browser
        self._base_url = base_url
        self._contexts: list[BrowserContext] = []
        self.complaints: list[str] = []

    def open(
        self, *, width: int = 1280, height: int = 900, theme: str = "light", scripts: bool = True
    ) -> Page:
        """A fresh page, signed out. `theme` is "light" or "dark"; sizes are CSS pixels."""
        context = self._browser.new_context(
            base_url=self._base_url,
            viewport={"width": width, "height": height},
            color_scheme=theme,
            java_script_enabled=scripts,
            reduced_motion="reduce",
            locale="en-GB",
        )
        context.set_default_timeout(15_000)
        self._contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: self.complaints.append(f"{page.url}: {error}"))
        page.on("console", lambda message: self._note(page, message))
        return page

    def _note(self, page: Page, message: ConsoleMessage) -> None:
        if message.type == "error" and not EXPECTED_NOISE.search(message.text):
            self.complaints.append(f"{page.url}: {message.text}")

    def close(self) -> None:
        for context in self._contexts:
            context.close()
