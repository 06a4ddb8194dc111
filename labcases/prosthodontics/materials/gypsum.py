"""Powder and water for a cast."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

RATIO_SOURCE = Source(
    Words("water to powder ratios, textbook chapter on gypsum materials"), Provenance.SEEN, "H"
)
ISO_SOURCE = Source("ISO 6873", Provenance.RECALLED, "M")
DENSITY_SOURCE = Source(Words("density of alpha hemihydrate powder"), Provenance.MEMORY, "M")
POWDER_DENSITY = 2.75
# Molar masses, g/mol: 1.5 water to one hemihydrate.
THEORETICAL_WATER = 1.5 * 18.0153 / 145.149


@dataclass(frozen=True)
class Gypsum:
    """A type by ISO 6873: water per powder by mass from the driest to the wettest, setting expansion in %."""

    kind: int
    name: str
    ratio: tuple[float, float]
    expansion: tuple[float, float]
    ratio_source: Source
    expansion_source: Source = ISO_SOURCE

    @property
    def middle_ratio(self) -> float:
        return (self.ratio[0] + self.ratio[1]) / 2


GYPSUM: dict[int, Gypsum] = {
    1: Gypsum(1, Words("impression plaster"), (0.50, 0.75), (0.00, 0.15), ISO_SOURCE),
    2: Gypsum(2, Words("model plaster"), (0.40, 0.50), (0.00, 0.30), RATIO_SOURCE),
    3: Gypsum(3, Words("dental stone"), (0.25, 0.30), (0.00, 0.20), RATIO_SOURCE),
    4: Gypsum(4, Words("die stone, low expansion"), (0.19, 0.24), (0.00, 0.15), RATIO_SOURCE),
    5: Gypsum(5, Words("die stone, high expansion"), (0.18, 0.22), (0.16, 0.30), ISO_SOURCE),
}


@dataclass(frozen=True)
class GypsumBatch:
    """Powder in g, water in mL; volume of the mix in cm³, waste included."""

    powder: float
    water: float
    volume: float

    @property
    def excess_water(self) -> float:
        """Water beyond what the reaction binds, g per 100 g of powder."""
        return 100 * (self.water / self.powder - THEORETICAL_WATER)


def gypsum_batch(
    volume: float,
    *,
    ratio: float,
    density: float = POWDER_DENSITY,
    waste: float = 0.0,
    unit: float | None = None,
) -> GypsumBatch:
    """Powder and water for a cast of `volume` cm³ at a water to powder `ratio` by mass.

    m = V / (1/ρ + w), water = w·m. density: of the powder, g/cm³. waste: part of the volume lost in bowl
    and trimming. unit: powder comes in units of so many g and is rounded up; water follows it.
    """
    _check("volume", volume, 1, 2000, "cm³")
    _check(
        "ratio",
        ratio,
        THEORETICAL_WATER,
        1.0,
        Words("g of water per g of powder (less does not set through)"),
    )
    _check("density", density, 2.0, 3.5, "g/cm³")
    _check("waste", waste, 0, 1, Words("as a part of the volume"))
    wanted = volume * (1 + waste)
    powder = wanted / (1 / density + ratio)
    if unit is not None:
        _check("unit", unit, 0.1, 5000, "g")
        powder = ceil(powder / unit - 1e-9) * unit
    return GypsumBatch(powder, ratio * powder, powder * (1 / density + ratio))


def _check(field: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise InputError(
            field, round(value, 4), Words("{low:.4g} to {high:g} {unit}").of(low=low, high=high, unit=unit)
        )
