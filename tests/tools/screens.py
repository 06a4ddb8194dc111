"""Photographs every page of the demo laboratory: `python -m tests.tools.screens OUT_DIR [--only WORD] [--plain]`,
with `--main` only the pages that the repository keeps pictures of, in both widths and themes and small,
or with `--three` the one picture of three screens that the README shows.

Starts its own site on a free port with a database of its own, and signs in as each of the three audiences.
"""

import argparse
import io
import os
import re
import secrets
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import django
import numpy as np
from django.urls import resolve
from PIL import Image
from playwright.sync_api import Error

from tests.tools.browser import chromium
from tests.tools.shots import SHOTS, Shot

ROOT = Path(__file__).resolve().parent.parent.parent
WIDTHS = (390, 1280)
THEMES = ("light", "dark")
COLOURS = 32
PASSWORD = "plaster and wax"


@contextmanager
def demo_site() -> Iterator[str]:
    """The demo laboratory on a free port of this machine, stopped at the end."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        environment = {
            **os.environ,
            "DATABASE_URL": f"sqlite:///{folder}/screens.sqlite3",
            "DJANGO_SETTINGS_MODULE": "labcases.config.settings",
            "LABCASES_SECRET_KEY": secrets.token_urlsafe(60),
            "LABCASES_DEBUG": "0",
            "LABCASES_SECURE": "0",
            "LABCASES_ALLOWED_HOSTS": "127.0.0.1",
        }
        manage = [sys.executable, str(ROOT / "manage.py")]
        quiet: dict[str, Any] = {"cwd": ROOT, "env": environment, "stdout": subprocess.DEVNULL}
        for words in (["migrate", "--noinput"], ["collectstatic", "--noinput"], ["load_demo"]):
            subprocess.run([*manage, *words], check=True, **quiet)
        commands = (["runserver", "--noreload", f"127.0.0.1:{port}"], ["worker"])
        running = [
            subprocess.Popen([*manage, *words], stderr=subprocess.DEVNULL, **quiet) for words in commands
        ]
        try:
            yield _answering(f"http://127.0.0.1:{port}")
        finally:
            for each in running:
                each.terminate()
                each.wait()


def _answering(base: str) -> str:
    for _ in range(600):
        try:
            urllib.request.urlopen(f"{base}/sign-in", timeout=2).close()
        except OSError:
            time.sleep(0.2)
        else:
            return base
    raise RuntimeError("The demo site did not start.")


def take(
    out: Path, *, only: str = "", plain: bool = False, main: bool = False, language: str = "en-GB"
) -> list[Path]:
    """Each page in both widths and, unless `plain`, both themes; a page is opened once and then changes its looks."""
    out.mkdir(parents=True, exist_ok=True)
    shots = [shot for shot in SHOTS if re.search(only, shot.name) and (shot.main or not main)]
    looks = [(width, theme) for width in WIDTHS for theme in (THEMES[:1] if plain else THEMES)]
    taken: list[Path] = []
    seen, failed = set[str](), list[str]()
    with demo_site() as base, chromium() as browser:
        desks: dict[str, Any] = {}
        for shot in shots:
            page = desks.setdefault(shot.who, None) or signed_in(
                browser, base, shot.who, *looks[0], language=language
            )
            desks[shot.who] = page
            try:
                _open(page, base, shot)
            except (Error, LookupError) as error:
                failed.append(f"{shot.name}: {str(error).splitlines()[0]}")
                continue
            seen.add(urlsplit(page.url).path)
            taken += [_picture(page, out, shot, look, small=main) for look in looks]
    if failed:
        raise SystemExit("not taken:\n" + "\n".join(failed))
    if not only and not main:
        (out / "without.txt").write_text("".join(f"{route}\n" for route in sorted(without_picture(seen))))
    return taken


def without_picture(addresses: set[str]) -> set[str]:
    """Routes that have a page of their own, of which these addresses show none."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    from tests.browser.test_every_page import NO_PAGE, SELDOM
    from tests.pages.test_permissions import TABLE, all_routes

    shown = {resolve(address).view_name for address in addresses}
    pages = {route for route in all_routes() if "GET" in TABLE[route].methods.split()}
    return pages - shown - set(NO_PAGE) - set(SELDOM)


def _open(page, base: str, shot: Shot) -> None:
    page.goto(base + shot.url)
    for step in shot.steps:
        step.do(page)


def _picture(page, out: Path, shot: Shot, look: tuple[int, str], *, small: bool) -> Path:
    width, theme = look
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=theme)
    # On a screen as high as its page a bar that sticks to the bottom is at the bottom.
    high = page.evaluate("document.documentElement.scrollHeight")
    page.set_viewport_size({"width": width, "height": max(900, high)})
    path = out / f"{shot.name}-{width}-{theme}.png"
    seen = page.screenshot(full_page=True)
    if small:
        as_small_picture(seen).save(path, optimize=True)
    else:
        path.write_bytes(seen)
    return path


def as_small_picture(png: bytes) -> Image.Image:
    """The same picture in its commonest colours: paper, ink and a handful of tints, which stay as they are."""
    whole = Image.open(io.BytesIO(png)).convert("RGB")
    found = sorted(whole.getcolors(maxcolors=whole.width * whole.height), reverse=True)
    colours = np.array([colour for _, colour in found], dtype=np.int32)
    kept = colours[:COLOURS]
    # Pillow's own search for the nearest colour is too coarse for a paper and a ground that differ little.
    nearest = ((colours[:, None] - kept) ** 2).sum(axis=2).argmin(axis=1)
    table = np.zeros(1 << 24, dtype=np.uint8)
    table[_packed(colours)] = nearest
    picture = Image.fromarray(table[_packed(np.asarray(whole).astype(np.int32))])
    picture.putpalette(kept.astype(np.uint8).tobytes())
    return picture


def _packed(colours: np.ndarray) -> np.ndarray:
    return colours[..., 0] << 16 | colours[..., 1] << 8 | colours[..., 2]


def signed_in(
    browser, base: str, who: str, width: int, theme: str, height: int = 900, *, language: str = "en-GB"
):
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme=theme,
        reduced_motion="reduce",
        locale=language,
    )
    page = context.new_page()
    if who:
        page.goto(f"{base}/sign-in")
        page.fill("[name=username]", who)
        page.fill("[name=password]", PASSWORD)
        page.press("[name=password]", "Enter")
        page.wait_for_url(re.compile(r"/(office|bench|clinic)/"))
    return page


def three_screens(path: Path) -> None:
    """Bench, office and clinic beside one another, as they first appear."""
    wide, narrow, high = 1280, 390, 860
    with demo_site() as base, chromium() as browser:
        parts = [
            _first_look(browser, base, "gypsum", "/bench/work", r"/bench/stages/\d+$", wide, high),
            _first_look(browser, base, "ledger", "/office/today", "", wide, high),
            _first_look(browser, base, "sample", "/clinic/cases", "", narrow, high),
        ]
    gap = 28
    pictures = [Image.open(io.BytesIO(part)).convert("RGB") for part in parts]
    sheet = Image.new("RGB", (sum(p.width for p in pictures) + gap * 4, high + gap * 2), "#d9d2c4")
    left = gap
    for picture in pictures:
        sheet.paste(picture, (left, gap))
        left += picture.width + gap
    sheet = sheet.resize((sheet.width // 2, sheet.height // 2), Image.Resampling.LANCZOS)
    path.parent.mkdir(parents=True, exist_ok=True)
    sheet.save(path, optimize=True)


def _first_look(browser, base: str, who: str, url: str, follow: str, width: int, height: int) -> bytes:
    page = signed_in(browser, base, who, width, "light", height)
    page.goto(base + url)
    if follow:
        links = page.eval_on_selector_all("a[href]", "all => all.map(a => a.pathname)")
        page.goto(base + next(link for link in links if re.search(follow, link)))
    picture = page.screenshot()
    page.context.close()
    return picture


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--only", default="", help="a pattern that a page's name must match")
    parser.add_argument("--plain", action="store_true", help="the light theme only")
    parser.add_argument("--main", action="store_true", help="only the pages that the repository shows, small")
    parser.add_argument("--three", action="store_true", help="only the README's picture")
    parser.add_argument("--language", default="en-GB", help="what the browser asks for, such as de-DE")
    arguments = parser.parse_args()
    if arguments.three:
        three_screens(arguments.out / "three.png")
        sys.exit()
    wanted = {name: getattr(arguments, name) for name in ("only", "plain", "main", "language")}
    for path in take(arguments.out, **wanted):
        sys.stdout.write(f"{path}\n")
