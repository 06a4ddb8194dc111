"""Tells by the first bytes what a file is, and leads it to what checks that kind."""

from typing import BinaryIO

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from labcases.attachments.choices import Kind
from labcases.attachments.files.casts import is_cast, read_cast
from labcases.attachments.files.content import Content, UnfitFile
from labcases.attachments.files.papers import is_paper, read_paper
from labcases.attachments.files.pictures import is_picture, read_picture
from labcases.prosthodontics.wording import figure

MEGABYTE = 1024**2
LARGEST = {Kind.PHOTOGRAPH: 12 * MEGABYTE, Kind.PAPER: 10 * MEGABYTE, Kind.CAST: 60 * MEGABYTE}
HEAD = 512
# ISO base media files name their brand after "ftyp"; these are what telephones write instead of JPEG.
PHONE_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif", b"avis")
TAKEN = gettext_lazy("Taken are photographs (JPEG, PNG, WebP), PDF, and STL of a cast.")


def read_content(file: BinaryIO, *, size: int) -> Content:
    """What the file holds, checked and made ready to be kept; raises UnfitFile. `size` is in bytes."""
    file.seek(0)
    head = file.read(HEAD)
    kind = _kind(head, size=size)
    if size > LARGEST[kind]:
        raise UnfitFile(
            _("This is a {kind} of {size}; {most} at most are taken.").format(
                kind=kind.label, size=megabytes(size), most=megabytes(LARGEST[kind])
            )
        )
    file.seek(0)
    data = file.read()
    if len(data) != size:
        raise UnfitFile(_("The file did not arrive whole. Choose it again."))
    return {Kind.PHOTOGRAPH: read_picture, Kind.PAPER: read_paper, Kind.CAST: read_cast}[kind](data)


def _kind(head: bytes, *, size: int) -> Kind:
    if not head:
        raise UnfitFile(_("The file is empty."))
    if head[4:8] == b"ftyp" and head[8:12] in PHONE_BRANDS:
        raise UnfitFile(
            _(
                "This photograph is in the HEIC or AVIF format, which is not taken. Set the telephone’s camera to its "
                "most compatible format, or save the picture as JPEG, and choose it again."
            )
        )
    if is_picture(head):
        return Kind.PHOTOGRAPH
    if is_paper(head):
        return Kind.PAPER
    if is_cast(head, size=size):
        return Kind.CAST
    words = _("This file is none of those that are taken, whatever its name says.")
    raise UnfitFile(f"{words} {TAKEN}")


def megabytes(size: int) -> str:
    return figure(f"{size / MEGABYTE:.1f}".removesuffix(".0")) + " MB"
