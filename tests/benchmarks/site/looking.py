"""What a person notices in a browser on a slow machine: pages that move under the hand, and how soon they answer."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from playwright.sync_api import Locator, Page

from labcases.people.models import User
from tests.benchmarks.site.visiting import session_of
from tests.tools.browser import chromium

SLOWED = 4
# The time from a press to the next picture, as the browser itself measures it, in steps of 8 ms from 16 on.
WATCH = """
  window.seen = {shift: 0, slowest: 0, presses: 0};
  new PerformanceObserver(list => list.getEntries().forEach(each => {
    if (!each.hadRecentInput) seen.shift += each.value;
  })).observe({type: 'layout-shift', buffered: true});
  new PerformanceObserver(list => list.getEntries().forEach(each => {
    if (each.interactionId) { seen.presses += 1; seen.slowest = Math.max(seen.slowest, each.duration); }
  })).observe({type: 'event', durationThreshold: 16, buffered: true});
"""
Act = Callable[[Page], None]
# Until the browser has told what it measured.
SETTLED = 250


def press(selector: str) -> Act:
    return lambda page: _first(page, selector).click()


def type_into(selector: str, text: str) -> Act:
    def act(page: Page) -> None:
        _first(page, selector).click()
        for key in text:
            page.keyboard.press(key)
            page.wait_for_timeout(SETTLED)

    return act


def _first(page: Page, selector: str) -> Locator:
    return page.locator(selector).locator("visible=true").first


ACTS: dict[str, tuple[int, list[Act]]] = {
    "cases, open": (
        1280,
        [
            type_into("#id_q", "ELM"),
            press("tbody .choice"),
            press("thead .choice"),
            press(".list-columns > summary"),
        ],
    ),
    "today": (1280, [press("summary"), type_into("input[type=search], input[name=code]", "26")]),
    "plan": (1280, [press("summary"), press("tbody .choice, li .choice")]),
    "bench sheet": (
        1280,
        [type_into("input[data-unit]", "12.5"), press("form.sheet .choice"), press("summary")],
    ),
    "my work": (390, [type_into("input[type=search], input[name=code]", "26"), press("summary")]),
    "clinic, my cases": (390, [press("summary")]),
    "clinic, case": (390, [press("summary")]),
}


def look(port: int, pages: dict[str, tuple[str, str]]) -> dict[str, dict[str, Any]]:
    """For each page, how far things moved by themselves and the slowest answer to a press, in milliseconds."""
    sessions = {who: session_of(User.objects.get(username=who)) for who, _ in pages.values()}
    found = {}
    with chromium() as browser:
        for name, (width, acts) in ACTS.items():
            who, address = pages[name]
            context = browser.new_context(viewport={"width": width, "height": 900}, locale="en-GB")
            url = f"http://127.0.0.1:{port}"
            context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": sessions[who], "url": url}])
            page = context.new_page()
            page.add_init_script(WATCH)
            context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
            page.goto(f"{url}{address}", wait_until="load")
            page.wait_for_timeout(2 * SETTLED)
            shift = page.evaluate("seen.shift")
            for act in acts:
                act(page)
                page.wait_for_timeout(SETTLED)
            seen = page.evaluate("seen")
            found[name] = {"width": width, "shift": shift, "slowest": seen["slowest"], "acts": len(acts)}
            context.close()
    return found
