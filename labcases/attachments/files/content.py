import hashlib
from dataclasses import dataclass

from labcases.attachments.choices import Kind
from labcases.prosthodontics.errors import LabCasesError


class UnfitFile(LabCasesError):
    """A file that is not taken, with why in one sentence for the person who chose it."""


@dataclass(frozen=True)
class Content:
    """What is kept of a file that was taken: its bytes and, of a photograph, a small picture.

    Width and height are pixels; `triangles` belong to a cast, `extent` is its bounding box in the file's own unit.
    """

    kind: Kind
    data: bytes
    small: bytes = b""
    width: int | None = None
    height: int | None = None
    triangles: int | None = None
    extent: str = ""

    @property
    def suffix(self) -> str:
        return {Kind.PHOTOGRAPH: "jpg", Kind.PAPER: "pdf", Kind.CAST: "stl"}[self.kind]

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.data).hexdigest()
