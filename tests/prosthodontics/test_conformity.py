"""Decisions at a limit. Formulas of JCGM 106:2012 and ISO 14253-1:2017: recalled, values derived here."""

from decimal import Decimal
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.prosthodontics.conformity import Judgement, Rule, Verdict, conformance_probability, judge
from labcases.prosthodontics.errors import InputError

WITHIN, OUTSIDE, AGAIN = Verdict.WITHIN, Verdict.OUTSIDE, Verdict.MEASURE_AGAIN


def rim(value: str, rule: Rule, repeats: int = 3, u: str = "0.2") -> Judgement:
    """An anterior height against 22 ± 1 mm."""
    return judge(
        Decimal(value), lower=Decimal(21), upper=Decimal(23), u=Decimal(u), rule=rule, repeats=repeats
    )


@pytest.mark.parametrize(
    ("value", "expected"), [("21.2", 0.8413), ("21.33", 0.9505), ("22.8", 0.8413), ("23.1", 0.3085)]
)
def test_conformance_probability_of_a_rim_of_22_within_1_millimetre(value: str, expected: float) -> None:
    """Derived here: Φ((U - y)/u) - Φ((L - y)/u) with u = 0.2."""
    assert rim(value, Rule.SIMPLE).probability == pytest.approx(expected, abs=5e-5)


def test_first_published_example_of_conformance() -> None:
    """JCGM 106:2012, clause 7.3.3 (recalled): limit -5.40 V, y = -5.47 V, u = 0.05 V: Φ(1.40) = 0.9192."""
    p = conformance_probability(Decimal("-5.47"), lower=None, upper=Decimal("-5.40"), u=Decimal("0.05"))
    assert p == pytest.approx(0.9192, abs=5e-5)


def test_second_published_example_of_conformance() -> None:
    """JCGM 106:2012 (recalled): limit 490 kPa from below, y = 509.7 kPa, u = 8.6 kPa: Φ(2.29) = 0.9890."""
    p = conformance_probability(Decimal("509.7"), lower=Decimal(490), upper=None, u=Decimal("8.6"))
    assert p == pytest.approx(0.9890, abs=5e-5)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        ("21.329", WITHIN), ("21.328", AGAIN), ("22.671", WITHIN), ("22.672", AGAIN),
        ("20.671", AGAIN), ("20.670", OUTSIDE), ("23.329", AGAIN), ("23.330", OUTSIDE),
    ],
)  # fmt: skip
def test_a_guard_band_takes_1_645_u_on_both_sides_of_a_limit(value: str, verdict: Verdict) -> None:
    """Derived here: 22 ± 1 with u = 0.2 is accepted from 21.329 to 22.671."""
    assert rim(value, Rule.GUARD).verdict is verdict


@pytest.mark.parametrize(
    ("value", "verdict"), [("21", WITHIN), ("20.99", OUTSIDE), ("23", WITHIN), ("23.01", OUTSIDE)]
)
def test_with_three_repeats_simple_acceptance_goes_by_the_mean_as_read(value: str, verdict: Verdict) -> None:
    assert rim(value, Rule.SIMPLE, repeats=3).verdict is verdict


@pytest.mark.parametrize("repeats", [1, 2])
@pytest.mark.parametrize("value", ["21.1", "20.9", "22.9", "23.1", "21", "23"])
def test_fewer_repeats_close_to_a_limit_are_taken_again(value: str, repeats: int) -> None:
    assert rim(value, Rule.SIMPLE, repeats=repeats).verdict is AGAIN


@pytest.mark.parametrize(
    ("value", "verdict"), [("21.329", WITHIN), ("21.328", AGAIN), ("20.672", AGAIN), ("20.671", OUTSIDE)]
)
def test_close_to_a_limit_means_closer_than_1_645_u(value: str, verdict: Verdict) -> None:
    assert rim(value, Rule.SIMPLE, repeats=1).verdict is verdict


@pytest.mark.parametrize(
    ("value", "verdict"), [("22", WITHIN), ("21.4", WITHIN), ("24", OUTSIDE), ("20.6", OUTSIDE)]
)
def test_one_reading_far_from_every_limit_is_enough(value: str, verdict: Verdict) -> None:
    assert rim(value, Rule.SIMPLE, repeats=1).verdict is verdict


def test_the_distance_is_to_the_nearer_limit_and_negative_outside() -> None:
    assert rim("22.4", Rule.SIMPLE).distance == Decimal("0.6")
    assert rim("23.4", Rule.SIMPLE).distance == Decimal("-0.4")
    assert rim("20.5", Rule.SIMPLE).distance == Decimal("-0.5")


def test_one_limit_is_enough() -> None:
    judged = judge(Decimal(3), lower=Decimal(2), upper=None, u=Decimal("0.1"), rule=Rule.GUARD, repeats=1)
    assert (judged.verdict, judged.distance) == (WITHIN, 1)


def test_an_exactly_known_value_is_simply_in_or_out() -> None:
    assert rim("23", Rule.GUARD, u="0").probability == 1
    assert rim("23", Rule.GUARD, u="0").verdict is WITHIN
    assert rim("23.01", Rule.SIMPLE, u="0", repeats=1).verdict is OUTSIDE
    assert rim("23.01", Rule.SIMPLE, u="0").probability == 0


def test_limits_too_close_for_the_instrument_are_said_to_be() -> None:
    assert "finer instrument" in rim("22", Rule.GUARD, u="0.7").words
    assert "finer instrument" not in rim("21.1", Rule.GUARD, u="0.2").words


@pytest.mark.parametrize(
    ("lower", "upper", "u"), [(None, None, "0.1"), ("3", "2", "0.1"), ("2", "3", "-0.1"), ("2", "3", "NaN")]
)
def test_limits_that_cannot_be_kept_are_refused(lower: str | None, upper: str | None, u: str) -> None:
    low, high = (None if limit is None else Decimal(limit) for limit in (lower, upper))
    with pytest.raises(InputError):
        judge(Decimal(2), lower=low, upper=high, u=Decimal(u), rule=Rule.SIMPLE, repeats=1)


@pytest.mark.parametrize("rule", Rule)
@pytest.mark.parametrize("value", ["22", "23.2", "26"])
def test_the_words_are_the_verdict_and_no_clinical_statement(rule: Rule, value: str) -> None:
    judged = rim(value, rule, repeats=1)
    assert judged.verdict.value.split()[0] in judged.words.lower()
    assert rule.words.endswith(".")


VALUES = st.decimals(15, 30, places=2)
SMALL = st.decimals(0, 2, places=3)


@given(VALUES, SMALL, st.sampled_from(Rule), st.integers(1, 3))
def test_no_verdict_ever_contradicts_the_face_value(
    value: Decimal, u: Decimal, rule: Rule, repeats: int
) -> None:
    judged = rim(str(value), rule, repeats=repeats, u=str(u))
    inside = 21 <= value <= 23
    assert judged.verdict is not (OUTSIDE if inside else WITHIN)
    assert (judged.distance >= 0) == inside


@given(VALUES, st.decimals("0.001", 2, places=3))
def test_the_probability_agrees_with_the_standard_library(value: Decimal, u: Decimal) -> None:
    p = rim(str(value), Rule.SIMPLE, u=str(u)).probability
    spread = NormalDist(float(value), float(u))
    assert p == pytest.approx(spread.cdf(23) - spread.cdf(21), abs=1e-9)


@given(VALUES, SMALL, st.integers(1, 3))
def test_the_guard_band_is_never_more_lenient_than_simple_acceptance(
    value: Decimal, u: Decimal, repeats: int
) -> None:
    if rim(str(value), Rule.GUARD, repeats=repeats, u=str(u)).verdict is WITHIN:
        assert rim(str(value), Rule.SIMPLE, repeats=repeats, u=str(u)).verdict is WITHIN
