"""PDF: kept byte by byte, and therefore only ever handed out as a file to save."""

from django.utils.translation import gettext as _

from labcases.attachments.choices import Kind
from labcases.attachments.files.content import Content, UnfitFile

BEGINNING, END = b"%PDF-", b"%%EOF"
TAIL = 1024


def is_paper(head: bytes) -> bool:
    return head.startswith(BEGINNING)


def read_paper(data: bytes) -> Content:
    if END not in data[-TAIL:] or b"startxref" not in data[-2 * TAIL :]:
        raise UnfitFile(_("This PDF is cut short or damaged: its end is missing. Save it anew."))
    return Content(kind=Kind.PAPER, data=data)
