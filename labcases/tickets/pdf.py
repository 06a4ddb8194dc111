"""HTML to PDF. The one place that knows the renderer, and it lets nothing in from anywhere."""

import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from labcases.prosthodontics.errors import LabCasesError

if TYPE_CHECKING:
    from weasyprint import Document

# PDF for readers and for the assistive technology of who cannot see it: tagged, with a title (PDF/UA-1).
VARIANT = "pdf/ua-1"
logger = logging.getLogger(__name__)


class PaperError(LabCasesError):
    """A sheet that could not be made; nothing was printed."""


@dataclass(frozen=True)
class Sheet:
    """A document ready to be printed: whole HTML, the style sheets it may use, and the size of its paper."""

    html: str
    stylesheets: tuple[str, ...]


@dataclass(frozen=True)
class Printed:
    pdf: bytes
    pages: int


@dataclass(frozen=True)
class LaidOut:
    """A sheet with its lines and pages set, from which a PDF is written, alone or together with others."""

    document: "Document"

    def printed(self) -> Printed:
        return together([self])


def render_pdf(sheet: Sheet) -> Printed:
    """One sheet as a tagged PDF; equal sheets give equal bytes. Raises PaperError if it asks for anything else."""
    return lay_out(sheet).printed()


def together(sheets: Sequence[LaidOut]) -> Printed:
    """Sheets one after the other in one PDF, each with its own page numbers."""
    pages = [page for sheet in sheets for page in sheet.document.pages]
    with _nothing_from_outside():
        pdf = sheets[0].document.copy(pages).write_pdf(pdf_variant=VARIANT)
    return Printed(pdf or b"", len(pages))


@contextmanager
def _nothing_from_outside() -> Iterator[None]:
    from weasyprint.urls import FatalURLFetchingError

    try:
        yield
    except FatalURLFetchingError as refused:  # no Exception: `except Exception` would let it through
        logger.error("A sheet asked for something from outside: %s", refused)
        raise PaperError(
            "The sheet asked for something from outside itself, so it was not printed."
        ) from None


def lay_out(sheet: Sheet) -> LaidOut:
    """Set a sheet's pages. Raises PaperError if it asks for anything but itself and its style sheets."""
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher

    class Nothing(URLFetcher):
        """Reaches nothing: no network, no file, no data address."""

        def fetch(self, url: str, headers: object = None) -> object:
            raise ValueError(f"{url[:80]} is outside the sheet")

    nothing, fonts = Nothing(fail_on_errors=True), FontConfiguration()
    with _nothing_from_outside():
        styles = [CSS(string=text, url_fetcher=nothing, font_config=fonts) for text in sheet.stylesheets]
        # No base address: without one a relative address leads nowhere either.
        page = HTML(string=sheet.html, url_fetcher=nothing, media_type="print")
        return LaidOut(page.render(stylesheets=styles, font_config=fonts))
