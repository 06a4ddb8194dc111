"""Control charts against the figures of the NIST/SEMATECH handbook and a textbook's data."""

from functools import partial

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from scipy.special import gamma
from scipy.stats import norm

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.statistics import (
    capability,
    count_chart,
    ewma_chart,
    in_tolerances,
    individuals_chart,
    mean_and_range_chart,
    proportion_chart,
)
from labcases.prosthodontics.statistics.constants import chart_constants

INDIVIDUALS = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
WEIGHTED = [52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, *INDIVIDUALS]
COUNTS = [16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31, 13]
FAULTY = [
    *(12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22),
    *(8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6),
]
# Piston ring diameters, mm: Montgomery, Introduction to Statistical Quality Control, 25 subgroups of five.
# Last two digits after 73.9, in 0.001 mm.
RINGS = """
130 102 119 92 108|95 92 101 111 104|88 124 121 105 102|102 96 93 115 109|92 107 115 89 114
109 94 97 85 93|95 106 94 100 105|85 103 93 115 88|108 95 109 105 104|98 100 90 107 95
94 98 94 95 90|104 100 107 100 96|83 102 98 97 112|106 67 94 100 84|112 114 98 99 107
100 84 105 98 96|94 112 86 105 107|106 110 118 103 100|84 102 103 105 97|100 110 113 120 103
88 101 109 105 96|104 99 90 106 109|110 89 90 109 114|115 108 93 100 110|82 84 95 117 113
"""


def rings():
    groups = RINGS.strip().replace("\n", "|").split("|")
    return [[73.9 + int(part) / 1000 for part in group.split()] for group in groups]


def test_single_values_have_the_published_limits():
    """NIST handbook 6.3.2.2 (seen): mean 50.81, MR̄ 1.8778, limits 55.8041 and 45.8159, MR limit 6.1347.

    The handbook rounds d2 to 1.128 and D4 to 3.267.
    """
    singles, ranges = individuals_chart(INDIVIDUALS)
    assert singles.centre == pytest.approx(50.81)
    assert ranges.centre == pytest.approx(1.8778, abs=0.00005)
    assert singles.upper[0] == pytest.approx(55.8041, abs=0.002)
    assert singles.lower[0] == pytest.approx(45.8159, abs=0.002)
    assert ranges.upper[0] == pytest.approx(6.1347, abs=0.002)
    assert singles.outside == ()


def test_with_the_handbooks_rounded_constants_the_limits_agree_to_the_last_digit():
    """NIST handbook 6.3.2.2 (seen)."""
    mean_range = individuals_chart(INDIVIDUALS)[1].centre
    assert 50.81 + 3 * mean_range / 1.128 == pytest.approx(55.8041, abs=0.00005)
    assert 50.81 - 3 * mean_range / 1.128 == pytest.approx(45.8159, abs=0.00005)


def test_the_sample_deviation_of_the_handbooks_values_is_the_derived_one():
    """Derived: 2.03385, against a stored copy that prints 1.8674."""
    assert np.std(INDIVIDUALS, ddof=1) == pytest.approx(2.03385, abs=0.00001)


def test_weighted_averages_follow_the_published_series():
    """NIST handbook 6.3.2.4 (series seen; limits recalled and derived): λ 0.3, target 50, s 2.0539."""
    published = [
        *(50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33),
        *(50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99),
    ]
    chart = ewma_chart(WEIGHTED, target=50, sigma=2.0539)
    assert chart.points == pytest.approx(published, abs=0.0051)
    assert chart.upper[0] == pytest.approx(52.5884, abs=0.00005)
    assert chart.lower[0] == pytest.approx(47.4115, abs=0.0001)


def test_weighted_limits_may_start_narrow_and_settle():
    narrow = ewma_chart(WEIGHTED, target=50, sigma=2.0539, steady=False)
    assert narrow.upper[0] == pytest.approx(50 + 3 * 2.0539 * 0.3)
    assert narrow.upper[-1] == pytest.approx(52.5884, abs=0.002)
    assert list(narrow.upper) == sorted(narrow.upper)


def test_counts_have_the_published_limits():
    """NIST handbook 6.3.3.1 (seen): c̄ 16, limits 28 and 4."""
    chart = count_chart(COUNTS)
    assert (chart.centre, chart.upper[0], chart.lower[0]) == (16, 28, 4)
    assert chart.outside == (23,)


def test_faulty_parts_have_the_published_limits():
    """NIST handbook 6.3.3.2 (seen): p̄ 0.2313, limits 0.4103 (0.4102 unrounded) and 0.0524."""
    chart = proportion_chart(FAULTY, [50] * 30)
    assert chart.centre == pytest.approx(0.2313, abs=0.00005)
    assert chart.upper[0] == pytest.approx(0.4102, abs=0.00005)
    assert chart.lower[0] == pytest.approx(0.0524, abs=0.00005)
    assert [FAULTY[i] for i in chart.outside] == [22, 24]


def test_unlike_lots_have_limits_of_their_own():
    chart = proportion_chart([5, 10], [50, 200])
    assert chart.upper[0] > chart.upper[1]
    assert chart.lower[0] == 0


def test_means_and_ranges_have_the_published_limits():
    """Montgomery's piston rings (seen): 74.00118, R̄ 0.02276, 74.0143 and 73.98805, R limit 0.04812."""
    means, ranges = mean_and_range_chart(rings())
    assert len(rings()) == 25
    assert means.centre == pytest.approx(74.00118, abs=0.000005)
    assert ranges.centre == pytest.approx(0.02276, abs=0.000005)
    assert means.upper[0] == pytest.approx(74.0143, abs=0.00005)
    assert means.lower[0] == pytest.approx(73.98805, abs=0.00005)
    assert ranges.upper[0] == pytest.approx(0.04812, abs=0.00005)


def test_capability_of_the_piston_rings():
    """Montgomery (seen): 73.95 to 74.05 gives Cp 1.70, Cpk 1.66."""
    means, ranges = mean_and_range_chart(rings())
    found = capability(
        mean=means.centre, sigma=ranges.centre / chart_constants(5).d2, lower=73.95, upper=74.05
    )
    assert found.cp == pytest.approx(1.70, abs=0.005)
    assert found.cpk == pytest.approx(1.66, abs=0.005)


CONSTANTS = {
    2: (1.8800, 0, 3.2665, 1.1284, 0.7979),
    3: (1.0233, 0, 2.5746, 1.6926, 0.8862),
    4: (0.7286, 0, 2.2821, 2.0588, 0.9213),
    5: (0.5768, 0, 2.1145, 2.3259, 0.9400),
    6: (0.4832, 0, 2.0038, 2.5344, 0.9515),
    7: (0.4193, 0.0757, 1.9243, 2.7044, 0.9594),
    8: (0.3725, 0.1362, 1.8638, 2.8472, 0.9650),
    9: (0.3367, 0.1840, 1.8160, 2.9700, 0.9693),
    10: (0.3083, 0.2230, 1.7770, 3.0775, 0.9727),
}


@pytest.mark.parametrize("size", CONSTANTS)
def test_chart_constants_are_the_derived_ones(size):
    """Derived by integration elsewhere, to four decimals."""
    found = chart_constants(size)
    row = (found.a2, found.lower_range, found.upper_range, found.d2, found.c4)
    assert row == pytest.approx(CONSTANTS[size], abs=0.00006)


@pytest.mark.parametrize("size", CONSTANTS)
def test_chart_constants_come_out_of_the_distribution_of_the_range(size):
    """Integrated here: d2 = ∫ 1 − (1 − Φ)ⁿ − Φⁿ; c4 = √(2/(n − 1))·Γ(n/2)/Γ((n − 1)/2)."""
    mean, _ = quad(lambda x: 1 - norm.sf(x) ** size - norm.cdf(x) ** size, -9, 9)
    c4 = np.sqrt(2 / (size - 1)) * gamma(size / 2) / gamma((size - 1) / 2)
    assert chart_constants(size).d2 == pytest.approx(mean, abs=1e-6)
    assert chart_constants(size).c4 == pytest.approx(c4, abs=1e-6)


def excess(y, x, size):
    low, high = norm.cdf(x), norm.cdf(y)
    return 1 - high**size - (1 - low) ** size + (high - low) ** size


@pytest.mark.parametrize("size", [2, 5])
def test_the_spread_of_the_range_comes_out_of_its_second_moment(size):
    """E[R²] = 2·∬ over x < y of 1 − Φ(y)ⁿ − (1 − Φ(x))ⁿ + (Φ(y) − Φ(x))ⁿ."""
    half, _ = dblquad(partial(excess, size=size), -7, 7, lambda x: x, lambda x: 7, epsabs=1e-6, epsrel=1e-6)
    d2 = chart_constants(size).d2
    assert chart_constants(size).d3 == pytest.approx(np.sqrt(2 * half - d2**2), abs=1e-5)


def test_readings_of_unlike_tolerances_are_charted_in_tolerances():
    assert in_tolerances(22.5, target=22, tolerance=1) == in_tolerances(18.25, target=18, tolerance=0.5)
    with pytest.raises(InputError, match="tolerance"):
        in_tolerances(22, target=22, tolerance=0)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: individuals_chart([1.0]), "values"),
        (lambda: ewma_chart([1, 2], target=1, sigma=0), "sigma"),
        (lambda: ewma_chart([1, 2], target=1, sigma=1, weight=0), "weight"),
        (lambda: count_chart([1, -1]), "counts"),
        (lambda: proportion_chart([1, 2], [5]), "sizes"),
        (lambda: proportion_chart([1, 9], [5, 5]), "faulty"),
        (lambda: mean_and_range_chart([[1, 2], [1, 2, 3]]), "groups"),
        (lambda: mean_and_range_chart([[1], [2]]), "subgroup size"),
    ],
)
def test_what_makes_no_chart_is_refused_by_name(call, named):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.field == named
