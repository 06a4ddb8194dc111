"""Average crown sizes of natural teeth. They are averages of a collection, not a target for a patient."""

from __future__ import annotations

from dataclasses import dataclass

from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

SEEN = Source(Words("Wheeler's averages as reprinted in a dental anatomy chapter"), Provenance.SEEN, "H")
RECALLED = Source(Words("Wheeler; Ash and Nelson, dental anatomy textbooks"), Provenance.RECALLED, "H")
RECALLED_LOW = Source(
    Words("Wheeler; Ash and Nelson; the figure varies by edition"), Provenance.RECALLED, "L"
)


@dataclass(frozen=True)
class Crown:
    """Length and mesiodistal width of a crown, mm."""

    length: float
    width: float
    source: Source


# Place 1 to 8 from the midline.
MAXILLARY: dict[int, Crown] = {
    1: Crown(10.5, 8.5, SEEN),
    2: Crown(9.0, 6.5, SEEN),
    3: Crown(10.0, 7.5, RECALLED),
    4: Crown(8.5, 7.0, RECALLED),
    5: Crown(8.5, 7.0, RECALLED),
    6: Crown(7.5, 10.0, RECALLED),
    7: Crown(7.0, 9.0, RECALLED),
    8: Crown(6.5, 8.5, RECALLED),
}
MANDIBULAR: dict[int, Crown] = {
    1: Crown(9.0, 5.0, RECALLED_LOW),
    2: Crown(9.5, 5.5, RECALLED_LOW),
    3: Crown(11.0, 7.0, RECALLED),
    4: Crown(8.5, 7.0, RECALLED),
    5: Crown(8.0, 7.0, RECALLED),
    6: Crown(7.5, 11.0, RECALLED),
    7: Crown(7.0, 10.5, RECALLED),
    8: Crown(7.0, 10.0, RECALLED),
}
CROWNS = {"maxillary": MAXILLARY, "mandibular": MANDIBULAR}


def width_sum(arch: str, first: int, last: int) -> float:
    """Mesiodistal sum (mm) of one side from place `first` to place `last`."""
    return sum(CROWNS[arch][place].width for place in range(first, last + 1))


def length_ratio(arch: str, place: int) -> float:
    """Crown length at a place as a part of the central incisor's."""
    return CROWNS[arch][place].length / CROWNS[arch][1].length
