"""Capability, proportions and agreement against published and derived figures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.stats import binomtest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.statistics import bland_altman, capability, clopper_pearson, dahlberg, wilson

FLOW_1 = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
FLOW_2 = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]


def test_capability_of_the_handbooks_example():
    """NIST handbook 6.1.6 (recalled, derived): 8 to 20, mean 16, s 2: Cp 1.0, Cpk 0.6667."""
    found = capability(mean=16, sigma=2, lower=8, upper=20)
    assert found.cp == 1.0
    assert found.cpk == pytest.approx(0.6667, abs=0.00005)
    assert found.cp_interval is None


def test_capability_intervals_for_fifty_values():
    """Derived: Cp 0.8025 to 1.1971; Cpk 0.5056 to 0.8278 (formula recalled)."""
    found = capability(mean=16, sigma=2, lower=8, upper=20, n=50)
    assert found.cp_interval == pytest.approx((0.8025, 1.1971), abs=0.0001)
    assert found.cpk_interval == pytest.approx((0.5056, 0.8278), abs=0.0001)
    assert found.notes == ()


def test_fewer_than_fifty_values_are_called_few():
    """NIST handbook 6.1.6 (seen): about 50 independent values at the least."""
    assert "at least 50" in capability(mean=16, sigma=2, lower=8, upper=20, n=20).notes[0]


@pytest.mark.parametrize(
    ("count", "n", "confidence", "interval"),
    [
        (4, 20, 0.95, (0.08066, 0.41602)),
        (4, 20, 0.90, (0.09312, 0.37838)),
        (0, 76, 0.95, (0, 0.04811)),
        (0, 25, 0.95, (0, 0.1332)),
        (3, 40, 0.95, (0.0258, 0.1986)),
        (7, 120, 0.95, (0.0285, 0.1155)),
    ],
)
def test_wilson_intervals_are_the_derived_ones(count, n, confidence, interval):
    """Derived with two statistics packages."""
    assert wilson(count, n, confidence=confidence) == pytest.approx(interval, abs=0.00006)


def test_clopper_pearson_agrees_with_the_handbooks_print():
    """NIST handbook 7.2.4.1 (recalled): 4 of 20 at 90 %: 0.071354 and 0.401029; derived 0.401028."""
    assert clopper_pearson(4, 20, confidence=0.9) == pytest.approx((0.071354, 0.401028), abs=0.0000015)


@given(n=some.integers(1, 400), part=some.floats(0, 1), confidence=some.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_both_intervals_agree_with_scipys_own(n, part, confidence):
    count = round(n * part)
    for mine, method in ((wilson, "wilson"), (clopper_pearson, "exact")):
        theirs = binomtest(count, n).proportion_ci(confidence, method)
        assert mine(count, n, confidence=confidence) == pytest.approx(tuple(theirs), abs=1e-9)


def test_dahlbergs_error_of_ten_pairs():
    """Dahlberg 1940 (recalled); figure derived: 0.12042."""
    differences = [0.1, -0.2, 0.3, 0, -0.1, 0.2, 0.1, -0.1, 0.2, -0.2]
    assert dahlberg(differences) == pytest.approx(0.12042, abs=0.000005)


def test_limits_of_agreement_of_the_papers_flow_meters():
    """Bland and Altman, Lancet 1986;i:307-310 (recalled): −2.1, s 38.8, mean ± 2s −79.7 to 75.5."""
    found = bland_altman(FLOW_1, FLOW_2, factor=2)
    assert found.bias == pytest.approx(-2.12, abs=0.005)
    assert found.spread == pytest.approx(38.77, abs=0.005)
    assert (found.lower, found.upper) == pytest.approx((-79.6, 75.4), abs=0.1)


def test_limits_of_agreement_of_six_rim_heights():
    """Derived: Dahlberg 0.13844, bias −0.0500, s 0.20736, limits −0.4564 and 0.3564."""
    first, second = [22.0, 21.5, 18.2, 17.9, 22.4, 20.9], [22.2, 21.4, 18.0, 18.1, 22.3, 21.2]
    found = bland_altman(first, second)
    assert found.bias == pytest.approx(-0.05)
    assert found.spread == pytest.approx(0.20736, abs=0.000005)
    assert (found.lower, found.upper) == pytest.approx((-0.4564, 0.3564), abs=0.00005)
    assert dahlberg(np.subtract(first, second).tolist()) == pytest.approx(0.13844, abs=0.000005)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: capability(mean=1, sigma=0, lower=0, upper=2), "sigma"),
        (lambda: capability(mean=1, sigma=1, lower=2, upper=0), "lower"),
        (lambda: capability(mean=1, sigma=1, lower=0, upper=2, n=1), "n"),
        (lambda: wilson(5, 4), "count"),
        (lambda: wilson(0, 0), "n"),
        (lambda: clopper_pearson(1, 4, confidence=1), "confidence"),
        (lambda: dahlberg([]), "differences"),
        (lambda: bland_altman([1, 2], [1]), "second"),
    ],
)
def test_what_can_not_be_computed_is_refused_by_name(call, named):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.field == named
