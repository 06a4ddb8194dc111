"""What a width on the wax becomes in the processed base."""

from __future__ import annotations

from dataclasses import dataclass

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

OBSERVED = (0.0042, 0.0058)
OBSERVED_SOURCE = Source(
    Words(
        "J Prosthet Dent 1999;81:300-304: 0.42 to 0.58 % across papilla and tuberosity marks, water-saturated"
    ),
    Provenance.SEEN,
    "H",
)
POLYMER_EXPANSION = 81e-6
POLYMER_EXPANSION_SOURCE = Source(
    Words("thermal expansion of the polymer, 81e-6 per K"), Provenance.RECALLED, "M"
)


@dataclass(frozen=True)
class Shrinkage:
    """A width before and after processing, mm, with the least and the most loss expected."""

    width: float
    least: float
    most: float

    @property
    def expected(self) -> float:
        """Width after the middle of the observed range, mm."""
        return self.width - (self.least + self.most) / 2

    @property
    def u(self) -> float:
        """Standard uncertainty of the loss (mm), its range taken as rectangular."""
        return float((self.most - self.least) / 12**0.5)


def expected_shrinkage(width: float, *, observed: tuple[float, float] = OBSERVED) -> Shrinkage:
    """Loss of a `width` (mm) in processing, from the observed range of linear shrinkage."""
    if not 1 <= width <= 120:
        raise InputError("width", round(width, 3), "1 to 120 mm")
    low, high = observed
    if not 0 <= low <= high <= 0.05:
        raise InputError(
            "shrinkage",
            Words("{low:g} to {high:g}").of(low=low, high=high),
            Words("a range between 0 and 0.05"),
        )
    return Shrinkage(width, width * low, width * high)


def scale_factor(shrinkage: float) -> float:
    """By how much to enlarge beforehand so that the shrunk width is the wanted one: 1 / (1 − k)."""
    return 1 / (1 - shrinkage)


def thermal_change(width: float, *, hot: float, cold: float, coefficient: float = POLYMER_EXPANSION) -> float:
    """Loss of a width (mm) in cooling from `hot` to `cold` °C."""
    return width * coefficient * (hot - cold)


def net_factor(*, stone_expansion: float, shrinkage: float) -> float:
    """What remains of a width after the stone has expanded and the base has shrunk: (1 + s)·(1 − k)."""
    return (1 + stone_expansion) * (1 - shrinkage)
