"""STL, the open format of scanned surfaces: a header, a count, and as many triangles as the count says.

A scanner writes what it likes into the header or the name of the solid, often a patient's; neither is kept. A text
STL is kept as a binary one, whose single-precision numbers are good to 0.00001 at the size of a jaw in mm.
"""

import re

import numpy as np
from django.utils.translation import gettext as _

from labcases.attachments.choices import Kind
from labcases.attachments.files.content import Content, UnfitFile

HEADER, COUNT, TRIANGLE = 80, 4, 50
OURS = b"cast, in the unit of its scanner".ljust(HEADER, b" ")
A_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
A_CORNER = re.compile(rb"vertex\s+(\S+)\s+(\S+)\s+(\S+)", re.IGNORECASE)
LARGEST_EXTENT = 1e6


def is_cast(head: bytes, *, size: int) -> bool:
    """Binary by its size alone, which its count foretells; or text that begins with a solid and its first facet."""
    if size >= HEADER + COUNT and size == _size_of(_count(head)):
        return True
    begins = head.lstrip()[:5].lower() == b"solid"
    return begins and (b"facet" in head.lower() or b"\0" in head)


def read_cast(data: bytes) -> Content:
    if len(data) == _size_of(_count(data)):
        corners, kept = _binary(data), OURS + data[HEADER:]
    elif b"\0" not in data:
        corners = _text(data)
        kept = OURS + _triangles(corners)
    else:
        raise UnfitFile(_("This STL is cut short: its size is not the one that its count of triangles asks."))
    return Content(kind=Kind.CAST, data=kept, triangles=len(corners), extent=_extent(corners))


def _count(data: bytes) -> int:
    return int.from_bytes(data[HEADER : HEADER + COUNT], "little")


def _size_of(count: int) -> int:
    return HEADER + COUNT + TRIANGLE * count


def _binary(data: bytes) -> np.ndarray:
    return np.frombuffer(data, A_TRIANGLE, offset=HEADER + COUNT)["corners"]


def _text(data: bytes) -> np.ndarray:
    """The corners of a text STL; as many must stand there as the facets have, and the solid must end."""
    found = A_CORNER.findall(data)
    facets = len(re.findall(rb"\bendfacet\b", data, re.IGNORECASE))
    last_line = data.rstrip().splitlines()[-1]
    if len(found) != 3 * facets or not last_line.strip().lower().startswith(b"endsolid"):
        raise UnfitFile(_("This STL is cut short or damaged: its facets do not have three corners each."))
    try:
        return np.array(found, dtype="S32").astype("f8").reshape(facets, 3, 3)
    except ValueError as error:
        raise UnfitFile(_("This STL holds a corner that is no number.")) from error


def _triangles(corners: np.ndarray) -> bytes:
    triangles = np.zeros(len(corners), A_TRIANGLE)
    triangles["corners"] = corners
    return len(corners).to_bytes(COUNT, "little") + triangles.tobytes()


def _extent(corners: np.ndarray) -> str:
    if not len(corners):
        raise UnfitFile(_("This STL holds no triangle."))
    # What is no number makes the least and the greatest none either, so no copy is made to look for it.
    low, high = corners.min(axis=(0, 1)).astype("f8"), corners.max(axis=(0, 1)).astype("f8")
    if not np.isfinite([low, high]).all() or np.abs([low, high]).max() > LARGEST_EXTENT:
        raise UnfitFile(_("This STL holds a corner that lies nowhere: its numbers are damaged."))
    return " × ".join(f"{length:.1f}" for length in high - low)
