"""HTML to PDF, by a process of its own (`press`) that is given so much time and memory and no more."""

import atexit
import itertools
import json
import logging
import os
import select
import signal
import subprocess
import sys
import threading
import time
import weakref
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from labcases.people.refusals import Refused

ROOT = Path(__file__).resolve().parent.parent.parent
# What a process needs to find its fonts and its language; the site's secrets stay here.
INHERITED = ("FONTCONFIG_FILE", "HOME", "LANG", "LC_ALL", "LC_CTYPE", "LD_LIBRARY_PATH", "PATH", "TMPDIR")
# Starting it takes a second and is not the sheet's fault; on a busy machine it takes several.
TO_START = 30
PIECE = 1 << 16
logger = logging.getLogger(__name__)


class PaperError(Refused):
    """A sheet that could not be made; nothing was printed."""


@dataclass(frozen=True)
class Sheet:
    """A document ready to be printed: whole HTML, the style sheets it may use, and the size of its paper."""

    html: str
    stylesheets: tuple[str, ...]


def page_numbers() -> str:
    """The style that numbers pages in the language of the moment; style sheets alone cannot be translated."""
    words = _("Page {page} of {pages}").format(page='" counter(page) "', pages='" counter(pages) "')
    return f'@page {{ @top-right {{ content: "{words}" }} }}'


@dataclass(frozen=True)
class Printed:
    pdf: bytes
    pages: int


class LaidOut:
    """A sheet with its lines and pages set, from which a PDF is written, alone or together with others.

    The press holds the pages; where it has ended meanwhile, they are set again when they are written.
    """

    def __init__(self, sheet: Sheet) -> None:
        self.sheet, self.key = sheet, next(_keys)
        weakref.finalize(self, _forgotten.append, self.key)
        self.lay()

    def lay(self) -> None:
        asked = {"do": "lay", "html": self.sheet.html, "stylesheets": self.sheet.stylesheets}
        _press.ask({**asked, "key": self.key}, seconds=settings.PDF_SECONDS)

    def printed(self) -> Printed:
        return together([self])


def render_pdf(sheet: Sheet) -> Printed:
    """One sheet as a tagged PDF; equal sheets give equal bytes.

    Raises PaperError if it asks for anything from outside, or for more time or memory than it is given.
    """
    return lay_out(sheet).printed()


def lay_out(sheet: Sheet) -> LaidOut:
    """Set a sheet's pages. Raises PaperError as `render_pdf` does."""
    return LaidOut(sheet)


def together(sheets: Sequence[LaidOut]) -> Printed:
    """Sheets one after the other in one PDF, each with its own page numbers."""
    keys = [sheet.key for sheet in sheets]
    with _press.lock:
        if not _press.holds_all(keys):
            for sheet in sheets:
                sheet.lay()
        answer, pdf = _press.ask({"do": "write", "keys": keys}, seconds=settings.PDF_SECONDS * len(sheets))
    return Printed(pdf, answer["pages"])


class _Ended(Exception):
    pass


class _TooLong(Exception):
    pass


class _Press:
    """The one press of this process, begun when first needed. Threads take turns at it, as they would anyway."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.process: subprocess.Popen[bytes] | None = None
        self.held: set[int] = set()

    def holds_all(self, keys: Sequence[int]) -> bool:
        return self._runs() and self.held.issuperset(keys)

    def ask(self, question: dict[str, Any], *, seconds: int) -> tuple[dict[str, Any], bytes]:
        with self.lock:
            started = self._runs()
            process = self.process if started else self._start()
            limit = seconds if started else seconds + TO_START
            forget = [key for key in _taken(_forgotten) if key in self.held]
            self.held.difference_update(forget)
            try:
                answer, pdf = _talk(process, {**question, "forget": forget, "seconds": seconds}, limit)
            except (_TooLong, _Ended, OSError) as trouble:
                raise PaperError(self._end_in_words(trouble, seconds)) from None
            if "key" in question:
                self.held.add(question["key"])
            return self._checked(answer), pdf

    def _checked(self, answer: dict[str, Any]) -> dict[str, Any]:
        for level, words in answer.pop("complaints"):
            logging.getLogger("weasyprint").log(level, "%s", words)
        if "outside" in answer:
            logger.error("A sheet asked for something from outside: %s", answer["outside"])
            raise PaperError(_("The sheet asked for something from outside itself, so it was not printed."))
        if "full" in answer:
            raise PaperError(self._end_in_words(MemoryError(), 0))
        if "broken" in answer:
            raise RuntimeError(f"The renderer failed on a sheet: {answer['broken']}")
        return answer

    def _end_in_words(self, trouble: Exception, seconds: int) -> str:
        ended = self.stop()
        logger.error("A sheet ended the press: %s, exit %s", type(trouble).__name__, ended)
        if isinstance(trouble, _TooLong) or ended == -signal.SIGXCPU:
            why = _(
                "The sheet would have taken longer than the {seconds} seconds that printing is given, so it was not "
                "printed."
            ).format(seconds=seconds)
        elif isinstance(trouble, MemoryError):
            why = _("The sheet needs more memory than printing is given, so it was not printed.")
        else:
            why = _(
                "The sheet ended the printing process, most likely for want of memory, so it was not printed."
            )
        advice = _("Shorten what is written on it, or print fewer at once.")
        return f"{why} {advice}"

    def _runs(self) -> bool:
        return self.process is not None and self.process.poll() is None

    def _start(self) -> "subprocess.Popen[bytes]":
        self.stop()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "labcases.tickets.press", str(settings.PDF_MEGABYTES)],
            cwd=ROOT,
            env={name: os.environ[name] for name in INHERITED if name in os.environ},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            # A key pressed to stop the site stops the site, which then lets its press finish.
            start_new_session=True,
        )
        return self.process

    def stop(self) -> int | None:
        """End the process and return what it ended with."""
        process, self.process = self.process, None
        self.held.clear()
        if process is None:
            return None
        process.kill()
        process.stdin.close()
        process.stdout.close()
        return process.wait()

    def leave_to_parent(self) -> None:
        """After a fork the press is still the parent's; a copy of its pipe would keep it from ending."""
        self.lock = threading.RLock()
        process, self.process = self.process, None
        self.held.clear()
        if process:
            os.close(process.stdin.fileno())
            os.close(process.stdout.fileno())
            _of_the_parent.append(process)


def _talk(process: "subprocess.Popen[bytes]", question: Any, seconds: int) -> tuple[dict[str, Any], bytes]:
    process.stdin.write(json.dumps(question).encode() + b"\n")
    process.stdin.flush()
    until, said = time.monotonic() + seconds, bytearray()
    while (end := said.find(b"\n")) < 0:
        said += _piece(process.stdout.fileno(), until)
    answer = json.loads(said[:end])
    size = end + 1 + answer.get("bytes", 0)
    while len(said) < size:
        said += _piece(process.stdout.fileno(), until)
    return answer, bytes(said[end + 1 : size])


def _piece(pipe: int, until: float) -> bytes:
    waiting = select.poll()
    waiting.register(pipe, select.POLLIN)
    if not waiting.poll(max(0.0, until - time.monotonic()) * 1000):
        raise _TooLong
    read = os.read(pipe, PIECE)
    if not read:
        raise _Ended
    return read


def _taken(keys: list[int]) -> list[int]:
    return [keys.pop() for _ in range(len(keys))]


_keys = itertools.count()
_forgotten: list[int] = []
_of_the_parent: list["subprocess.Popen[bytes]"] = []
_press = _Press()
atexit.register(_press.stop)
os.register_at_fork(after_in_child=_press.leave_to_parent)
