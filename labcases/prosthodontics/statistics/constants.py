"""Control chart constants for subgroups of 2 to 10, from the distribution of the range of normal values."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from labcases.prosthodontics.errors import InputError


@dataclass(frozen=True)
class ChartConstants:
    """d2 and d3: mean and standard deviation of the range in units of σ; c4: mean of s in units of σ."""

    size: int
    d2: float
    d3: float
    c4: float

    @property
    def a2(self) -> float:
        """Limits of means are R̄ times this away from the grand mean."""
        return 3 / (self.d2 * sqrt(self.size))

    @property
    def lower_range(self) -> float:
        """D3: lower limit of ranges in units of R̄."""
        return max(0.0, 1 - 3 * self.d3 / self.d2)

    @property
    def upper_range(self) -> float:
        """D4: upper limit of ranges in units of R̄."""
        return 1 + 3 * self.d3 / self.d2


# Computed by numerical integration; the tests integrate again.
_CONSTANTS = {
    2: (1.128379, 0.852502, 0.797885),
    3: (1.692569, 0.888368, 0.886227),
    4: (2.058751, 0.879808, 0.921318),
    5: (2.325929, 0.864082, 0.939986),
    6: (2.534413, 0.848040, 0.951533),
    7: (2.704357, 0.833205, 0.959369),
    8: (2.847201, 0.819831, 0.965030),
    9: (2.970026, 0.807834, 0.969311),
    10: (3.077505, 0.797051, 0.972659),
}


def chart_constants(size: int) -> ChartConstants:
    """The constants of subgroups of `size` values."""
    if size not in _CONSTANTS:
        raise InputError("subgroup size", size, "2 to 10")
    return ChartConstants(size, *_CONSTANTS[size])
