"""Points of the incisive papilla from which the labial face is measured, and the steps between them."""

from __future__ import annotations

from enum import StrEnum

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

TABRIZ = Source(
    Words("Bohluli S and others, Tabriz, n = 59: papilla to labial face of the central incisors"),
    Provenance.SEEN,
    "H",
)
TABRIZ_STEPS = Source(
    Words("differences of the means of Bohluli S and others, Tabriz, n = 59; within one patient only"),
    Provenance.DERIVED,
    "M",
)


class PapillaPoint(StrEnum):
    """Which point of the papilla a horizontal distance starts at."""

    ANTERIOR_BORDER = "anterior_border"
    CENTRE = "centre"
    POSTERIOR_BORDER = "posterior_border"

    @property
    def words(self) -> str:
        return {
            PapillaPoint.ANTERIOR_BORDER: Words("anterior border of the papilla"),
            PapillaPoint.CENTRE: Words("centre of the papilla"),
            PapillaPoint.POSTERIOR_BORDER: Words("posterior border of the papilla"),
        }[self]


# Mean and standard deviation, mm, from each point to the labial face (TABRIZ).
LABIAL_FACE_MEANS: dict[PapillaPoint, tuple[float, float]] = {
    PapillaPoint.ANTERIOR_BORDER: (7.12, 0.75),
    PapillaPoint.CENTRE: (8.54, 0.83),
    PapillaPoint.POSTERIOR_BORDER: (10.28, 1.00),
}


def papilla_point(name: str) -> PapillaPoint:
    """The point called `name`, or InputError that lists the three."""
    try:
        return PapillaPoint(name)
    except ValueError:
        raise InputError("papilla_reference", name, ", ".join(PapillaPoint)) from None


def convert_offset(offset: float, start: PapillaPoint, end: PapillaPoint) -> float:
    """A distance papilla to labial face (mm) from `start`, restated from `end` (TABRIZ_STEPS)."""
    return offset + LABIAL_FACE_MEANS[end][0] - LABIAL_FACE_MEANS[start][0]
