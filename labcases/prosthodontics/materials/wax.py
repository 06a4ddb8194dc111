"""Baseplate wax: mass, strip length and what warmth does to a height."""

from __future__ import annotations

from collections.abc import Iterable

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import COMMON_PRACTICE, Provenance, Source
from labcases.prosthodontics.wording import Words

WAX_DENSITY = 0.92
WAX_DENSITY_SOURCE = Source(Words("baseplate wax, 0.90 to 0.97 g/cm³"), Provenance.MEMORY, "M")
SHEET_THICKNESS = 1.4
SHEET_SOURCE = COMMON_PRACTICE
WAX_EXPANSION = 0.008
WAX_EXPANSION_SOURCE = Source(Words("baseplate wax, 25 to 40 °C, at most 0.8 %"), Provenance.RECALLED, "M")


def segment_volume(segments: Iterable[tuple[float, float, float]]) -> float:
    """Volume (mm³) of segments given as length, width and height in mm."""
    return float(sum(length * width * height for length, width, height in segments))


def wax_mass(volume: float, *, density: float = WAX_DENSITY) -> float:
    """Mass (g) of a volume in mm³ at a density in g/cm³."""
    if not 0.8 <= density <= 1.1:
        raise InputError("density", round(density, 3), "0.8 to 1.1 g/cm³")
    return volume * density / 1000


def strip_length(volume: float, *, width: float, thickness: float = SHEET_THICKNESS) -> float:
    """Length (mm) of a strip cut `width` mm wide from a sheet that holds the volume (mm³)."""
    if width <= 0 or thickness <= 0:
        raise InputError("width", round(width, 3), Words("more than 0 mm, as for the thickness"))
    return volume / (width * thickness)


def warm_change(height: float) -> float:
    """The most by which a height (mm) may change between 25 and 40 °C."""
    return height * WAX_EXPANSION
