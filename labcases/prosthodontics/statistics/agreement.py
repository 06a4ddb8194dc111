"""How far two readings of the same things agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words


@dataclass(frozen=True)
class Agreement:
    """Mean difference (bias), its spread, and the limits of agreement, in the readings' unit."""

    bias: float
    spread: float
    lower: float
    upper: float


def dahlberg(differences: Sequence[float]) -> float:
    """Error of a single reading from repeated pairs: √(Σd² / 2n). Dahlberg 1940 (recalled)."""
    if not differences:
        raise InputError("differences", str(Words("none")), Words("at least one"))
    return sqrt(sum(d * d for d in differences) / (2 * len(differences)))


def bland_altman(first: Sequence[float], second: Sequence[float], *, factor: float = 1.96) -> Agreement:
    """Limits of agreement, mean ± factor·s of the differences. Bland and Altman, Lancet 1986;i:307-310."""
    if len(first) != len(second) or len(first) < 2:
        raise InputError("second", len(second), Words("as many readings as in the first series, at least 2"))
    differences = [a - b for a, b in zip(first, second, strict=True)]
    bias, spread = fmean(differences), stdev(differences)
    return Agreement(bias, spread, bias - factor * spread, bias + factor * spread)
