"""Patterns in a chart that chance seldom makes: the Western Electric rules and two more of the NIST list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

SOURCE = Source(
    Words("Western Electric rules as listed in the NIST/SEMATECH handbook"), Provenance.RECALLED, "H"
)

RULES: dict[str, str] = {
    "one_beyond_3": Words("one point more than 3 σ from the centre"),
    "two_of_three_beyond_2": Words("two of three points in a row more than 2 σ from the centre, on one side"),
    "four_of_five_beyond_1": Words("four of five points in a row more than 1 σ from the centre, on one side"),
    "eight_on_one_side": Words("eight points in a row on one side of the centre"),
    "six_trending": Words("six points in a row, each higher or each lower than the one before"),
    "fourteen_alternating": Words("fourteen points in a row that go up and down by turns"),
}


@dataclass(frozen=True)
class Signal:
    """A rule that a chart breaks; `position` (from 0) is the point that completes the pattern."""

    rule: str
    position: int

    @property
    def words(self) -> str:
        return Words("Point {number}: {pattern}.").of(number=self.position + 1, pattern=RULES[self.rule])


def signals(points: Sequence[float], *, centre: float, sigma: float) -> tuple[Signal, ...]:
    """Every completion of a pattern, in the order of the points. `sigma` is the spread of single points."""
    if sigma <= 0:
        raise InputError("sigma", round(sigma, 4), Words("more than 0"))
    z = (np.asarray(points, dtype=float) - centre) / sigma
    found = [Signal("one_beyond_3", int(i)) for i in np.flatnonzero(np.abs(z) > 3)]
    for rule, needed, window, limit in (
        ("two_of_three_beyond_2", 2, 3, 2.0),
        ("four_of_five_beyond_1", 4, 5, 1.0),
        ("eight_on_one_side", 8, 8, 0.0),
    ):
        found += [Signal(rule, i) for i in _crowded(z, needed, window, limit)]
    found += [Signal("six_trending", i) for i in _runs(np.sign(np.diff(z)), 5, alternating=False)]
    found += [Signal("fourteen_alternating", i) for i in _runs(np.sign(np.diff(z)), 13, alternating=True)]
    return tuple(sorted(found, key=lambda signal: (signal.position, list(RULES).index(signal.rule))))


def _crowded(z: NDArray[np.float64], needed: int, window: int, limit: float) -> list[int]:
    """Positions beyond `limit` that make `needed` of the last `window` points so, on the point's own side."""
    hits = []
    for i in range(len(z)):
        recent = z[max(0, i - window + 1) : i + 1]
        side = np.sign(z[i])
        if side * z[i] > limit and (side * recent > limit).sum() >= needed:
            hits.append(i)
    return hits


def _runs(steps: NDArray[np.float64], needed: int, *, alternating: bool) -> list[int]:
    """Positions where `needed` steps in a row have gone the same way, or by turns."""
    hits, length = [], 0
    for i, step in enumerate(steps):
        wanted = -steps[i - 1] if alternating else steps[i - 1]
        length = 0 if step == 0 else length + 1 if i and step == wanted else 1
        if length >= needed:
            hits.append(i + 1)
    return hits
