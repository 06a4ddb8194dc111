"""Polymer and monomer for a denture base, and how much the dough shrinks."""

from __future__ import annotations

from dataclasses import dataclass

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

POLYMER_DENSITY = 1.19
MONOMER_DENSITY = 0.945
DENSITY_SOURCE = Source(
    Words("dental materials textbooks: poly(methyl methacrylate) and monomer"), Provenance.RECALLED, "H"
)
RATIO_SOURCE = Source(
    "Nisar S and others, Int J Dent Sci Res 2015;3(3): 1.80, 2.00, 2.22 g/mL", Provenance.SEEN, "H"
)
USUAL_RATIO = 2.0


@dataclass(frozen=True)
class PolymerBatch:
    """Polymer in g, monomer in mL."""

    polymer: float
    monomer: float


def polymer_batch(volume: float, *, ratio: float = USUAL_RATIO, waste: float = 0.0) -> PolymerBatch:
    """Powder and liquid for `volume` cm³ of dough at `ratio` g of polymer per mL of monomer.

    m = r·V / (r/1.19 + 1), liquid = m/r.
    """
    _check("volume", volume, 0.5, 500, "cm³")
    _check("ratio", ratio, 1.0, 4.0, Words("g of polymer per mL of monomer"))
    _check("waste", waste, 0, 1, Words("as a part of the volume"))
    polymer = ratio * volume * (1 + waste) / (ratio / POLYMER_DENSITY + 1)
    return PolymerBatch(polymer, polymer / ratio)


def monomer_shrinkage() -> float:
    """Part of its volume that monomer alone loses in setting."""
    return 1 - MONOMER_DENSITY / POLYMER_DENSITY


def dough_shrinkage(ratio: float) -> float:
    """Part of its volume that a dough mixed at `ratio` g/mL loses in setting."""
    _check("ratio", ratio, 1.0, 4.0, Words("g of polymer per mL of monomer"))
    before = ratio / POLYMER_DENSITY + 1
    return 1 - (ratio + MONOMER_DENSITY) / POLYMER_DENSITY / before


def linear_equivalent(volumetric: float) -> float:
    """Linear part of a volumetric shrinkage, the same in all directions: 1 − (1 − v)^(1/3).

    Dentures show less: most of the loss happens while the dough still flows.
    """
    return float(1 - (1 - volumetric) ** (1 / 3))


def _check(field: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise InputError(
            field, round(value, 4), Words("{low:g} to {high:g} {unit}").of(low=low, high=high, unit=unit)
        )
