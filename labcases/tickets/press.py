"""The press: a process of its own that turns HTML into PDF, within limits, and lets nothing in from anywhere.

It knows neither the database nor the site's secrets. A sheet that asks for too much ends this process, not the site.
Each question is a line of JSON on standard input; each answer a line of JSON on standard output, followed by as
many bytes of a PDF as it says.
"""

import json
import logging
import os
import resource
import select
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher

if TYPE_CHECKING:
    from weasyprint import Document

# PDF for readers and for the assistive technology of who cannot see it: tagged, with a title (PDF/UA-1).
VARIANT = "pdf/ua-1"
# A press that nobody needs gives its memory back; the next sheet begins another.
IDLE_SECONDS = 600


class Nothing(URLFetcher):
    """Reaches nothing: no network, no file, no data address."""

    def fetch(self, url: str, headers: object = None) -> object:
        raise ValueError(f"{url[:80]} is outside the sheet")


class Complaints(logging.Handler):
    """What the renderer says of a sheet; the asker logs it."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[tuple[int, str]] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append((record.levelno, record.getMessage()))

    def taken(self) -> list[tuple[int, str]]:
        said, self.said = self.said, []
        return said


class Press:
    """Keeps sheets whose pages are set until they are forgotten, so that they can be written once more together."""

    def __init__(self) -> None:
        self.laid: dict[int, Document] = {}

    def lay(self, *, key: int, html: str, stylesheets: list[str]) -> dict[str, Any]:
        nothing, fonts = Nothing(fail_on_errors=True), FontConfiguration()
        styles = [CSS(string=text, url_fetcher=nothing, font_config=fonts) for text in stylesheets]
        # No base address: without one a relative address leads nowhere either.
        sheet = HTML(string=html, url_fetcher=nothing, media_type="print")
        self.laid[key] = sheet.render(stylesheets=styles, font_config=fonts)
        return {"pages": len(self.laid[key].pages)}

    def write(self, *, keys: list[int]) -> tuple[dict[str, Any], bytes]:
        documents = [self.laid[key] for key in keys]
        pages = [page for document in documents for page in document.pages]
        pdf = documents[0].copy(pages).write_pdf(pdf_variant=VARIANT) or b""
        return {"pages": len(pages), "bytes": len(pdf)}, pdf

    def answer(self, question: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
        for key in question.pop("forget"):
            self.laid.pop(key, None)
        _give_processor_time(question.pop("seconds"))
        try:
            if question.pop("do") == "lay":
                return self.lay(**question), b""
            return self.write(**question)
        except FatalURLFetchingError as asked:  # no Exception: `except Exception` would let it through
            return {"outside": str(asked)}, b""
        except (MemoryError, SystemError):  # the interpreter itself, where it finds no room for an error
            return {"full": True}, b""
        except Exception as error:
            return {"broken": f"{type(error).__name__}: {error}"[:300]}, b""


def serve(questions: BinaryIO, answers: BinaryIO) -> None:
    press, complaints = Press(), Complaints()
    logging.getLogger("weasyprint").addHandler(complaints)
    while select.select([questions], [], [], IDLE_SECONDS)[0] and (line := questions.readline()):
        answer, pdf = press.answer(json.loads(line))
        answers.write(json.dumps({**answer, "complaints": complaints.taken()}).encode() + b"\n" + pdf)
        answers.flush()


def _give_processor_time(seconds: int) -> None:
    """Whoever asked may be gone before the time is over; then nobody else ends this process."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    _, most = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (int(used.ru_utime + used.ru_stime) + seconds + 1, most))


def stand_back_as_session() -> None:
    """Linux shares processors among sessions before it looks at niceness: whoever leads one is nice for all of it."""
    niceness = os.nice(0)
    if niceness > 0 and os.getsid(0) == os.getpid():
        with suppress(OSError):  # a kernel that does not share like that
            Path("/proc/self/autogroup").write_text(f"{niceness}\n", encoding="ascii")


def main() -> None:
    stand_back_as_session()
    megabytes = int(sys.argv[1]) * 1024**2
    resource.setrlimit(resource.RLIMIT_AS, (megabytes, megabytes))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    answers = sys.stdout.buffer
    # Whatever else prints goes elsewhere than between the answers.
    sys.stdout = sys.stderr
    serve(sys.stdin.buffer, answers)


if __name__ == "__main__":
    main()
