"""Control charts: a centre line and limits from the laboratory's own values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from statistics import fmean

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.statistics.constants import chart_constants
from labcases.prosthodontics.wording import Words

FEWEST = 2


@dataclass(frozen=True)
class Chart:
    """Points in their order with centre and limits, in the unit of the values.

    sigma: the spread of single points that the limits rest on. Limits may differ from point to point.
    """

    points: tuple[float, ...]
    centre: float
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    sigma: float

    @property
    def outside(self) -> tuple[int, ...]:
        """Positions, from 0, of the points beyond a limit."""
        return tuple(
            i
            for i, (point, low, high) in enumerate(zip(self.points, self.lower, self.upper, strict=True))
            if not low <= point <= high
        )


def in_tolerances(measured: float, *, target: float, tolerance: float) -> float:
    """(measured − target) / tolerance: what may be charted together across different tolerances."""
    if tolerance <= 0:
        raise InputError("tolerance", round(tolerance, 4), Words("more than 0"))
    return (measured - target) / tolerance


def individuals_chart(values: Sequence[float]) -> tuple[Chart, Chart]:
    """Single values and their moving ranges of two. Limits at mean ± 3·MR̄/d2. NIST handbook 6.3.2.2."""
    _enough(values)
    constants = chart_constants(2)
    ranges = [abs(b - a) for a, b in pairwise(values)]
    centre, mean_range = fmean(values), fmean(ranges)
    sigma = mean_range / constants.d2
    singles = _level(values, centre, centre - 3 * sigma, centre + 3 * sigma, sigma)
    return singles, _level(ranges, mean_range, 0.0, constants.upper_range * mean_range, sigma * constants.d3)


def ewma_chart(
    values: Sequence[float], *, target: float, sigma: float, weight: float = 0.3, steady: bool = True
) -> Chart:
    """Exponentially weighted moving average, starting at the target. NIST handbook 6.3.2.4.

    Limits at target ± 3·σ·√(λ/(2 − λ)); with `steady` false they start narrow: × √(1 − (1 − λ)^2i).
    """
    if not 0 < weight <= 1:
        raise InputError("weight", round(weight, 4), Words("more than 0 and at most 1"))
    if sigma <= 0:
        raise InputError("sigma", round(sigma, 4), Words("more than 0"))
    average, points, lower, upper = target, [], [], []
    for i, value in enumerate(values, start=1):
        average = weight * value + (1 - weight) * average
        growth = 1.0 if steady else 1 - (1 - weight) ** (2 * i)
        reach = 3 * sigma * sqrt(weight / (2 - weight) * growth)
        points.append(average)
        lower.append(target - reach)
        upper.append(target + reach)
    _enough(points)
    return Chart(tuple(points), target, tuple(lower), tuple(upper), sigma * sqrt(weight / (2 - weight)))


def count_chart(counts: Sequence[int]) -> Chart:
    """Counts of faults per equal lot (c chart): c̄ ± 3·√c̄, not below 0. NIST handbook 6.3.3.1."""
    _enough(counts)
    _counts(counts)
    centre = fmean(counts)
    sigma = sqrt(centre)
    return _level(counts, centre, max(0.0, centre - 3 * sigma), centre + 3 * sigma, sigma)


def proportion_chart(faulty: Sequence[int], sizes: Sequence[int]) -> Chart:
    """Faulty parts of lots that may differ in size (p chart), limits within 0 to 1. NIST handbook 6.3.3.2."""
    _enough(faulty)
    _counts(faulty)
    if len(faulty) != len(sizes):
        raise InputError(
            "sizes", len(sizes), Words("as many as there are counts, {number}").of(number=len(faulty))
        )
    for count, size in zip(faulty, sizes, strict=True):
        if size < 1 or count > size:
            raise InputError("faulty", count, Words("0 to the lot's size, {size}").of(size=size))
    centre = sum(faulty) / sum(sizes)
    spreads = [sqrt(centre * (1 - centre) / size) for size in sizes]
    return Chart(
        tuple(count / size for count, size in zip(faulty, sizes, strict=True)),
        centre,
        tuple(max(0.0, centre - 3 * spread) for spread in spreads),
        tuple(min(1.0, centre + 3 * spread) for spread in spreads),
        fmean(spreads),
    )


def mean_and_range_chart(groups: Sequence[Sequence[float]]) -> tuple[Chart, Chart]:
    """Means and ranges of equal subgroups of 2 to 10: X̿ ± A2·R̄ and D3·R̄ to D4·R̄."""
    _enough(groups)
    constants = chart_constants(len(groups[0]))
    if any(len(group) != constants.size for group in groups):
        raise InputError(
            "groups",
            str(Words("subgroups of different sizes")),
            Words("{size} values in each").of(size=constants.size),
        )
    means = [fmean(group) for group in groups]
    ranges = [max(group) - min(group) for group in groups]
    centre, mean_range = fmean(means), fmean(ranges)
    reach, sigma = constants.a2 * mean_range, mean_range / constants.d2
    return (
        _level(means, centre, centre - reach, centre + reach, sigma / sqrt(constants.size)),
        _level(
            ranges,
            mean_range,
            constants.lower_range * mean_range,
            constants.upper_range * mean_range,
            sigma * constants.d3,
        ),
    )


def _level(points: Sequence[float], centre: float, lower: float, upper: float, sigma: float) -> Chart:
    n = len(points)
    return Chart(tuple(float(point) for point in points), centre, (lower,) * n, (upper,) * n, sigma)


def _enough(values: Sequence[object]) -> None:
    if len(values) < FEWEST:
        raise InputError("values", len(values), Words("at least {fewest} points").of(fewest=FEWEST))


def _counts(values: Sequence[int]) -> None:
    for value in values:
        if value < 0:
            raise InputError("counts", value, Words("whole numbers from 0"))
