"""Figures after JCGM 100:2008 (recalled; the worked example is derived here, to its last digit)."""

import statistics
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.uncertainty import (
    DEFAULT_REPEATABILITY,
    INSTRUMENTS,
    REPEATABILITY_SOURCE,
    Instrument,
    Term,
    instrument,
    instruments_for,
    mean_and_spread,
    propagate,
    standard_uncertainty,
)

THREE = [Decimal("21.8"), Decimal("22.1"), Decimal("22.0")]
CALIPER = Instrument("Caliper", Decimal("0.01"), Decimal("0.03"), Source("", Provenance.MEMORY, "M"))
READINGS = st.lists(st.decimals(0, 60, places=2), min_size=1, max_size=3)


def near(value: Decimal | None, expected: str) -> bool:
    """Equal to all the decimals that are printed."""
    assert value is not None
    return round(value, len(expected.partition(".")[2])) == Decimal(expected)


def test_three_readings_give_the_worked_mean_and_spread() -> None:
    """Derived here: 21.8, 22.1, 22.0 have the mean 21.967 and s = 0.15275."""
    mean, spread = mean_and_spread(THREE)
    assert near(mean, "21.967")
    assert near(spread, "0.15275")


def test_the_worked_uncertainty_of_three_caliper_readings() -> None:
    """Rules recalled, figures derived: MPE 0.03, step 0.01 give s/√3 = 0.08819, u = 0.08992, U = 0.180."""
    estimate = standard_uncertainty(THREE, CALIPER)
    scatter, limit, step = estimate.contributions
    assert near(scatter.u, "0.08819")
    assert near(limit.u, "0.01732")
    assert near(step.u, "0.00289")
    assert near(estimate.u, "0.08992")
    assert near(2 * estimate.u, "0.180")


def test_effective_degrees_of_freedom_follow_welch_and_satterthwaite() -> None:
    """Derived here: u⁴ / (u_A⁴/2) for three readings, everything else unlimited."""
    estimate = standard_uncertainty(THREE, CALIPER)
    expected = 2 * (0.0899229 / 0.0881917) ** 4
    assert float(estimate.degrees_of_freedom or 0) == pytest.approx(expected, rel=1e-4)


def test_a_single_reading_borrows_the_usual_scatter_and_says_so() -> None:
    estimate = standard_uncertainty([Decimal("22.0")], CALIPER)
    assert estimate.contributions[0].u == DEFAULT_REPEATABILITY
    assert estimate.spread is None
    assert estimate.degrees_of_freedom is None
    assert "One reading" in estimate.why


def test_the_usual_scatter_is_marked_as_from_memory_and_can_be_replaced() -> None:
    assert REPEATABILITY_SOURCE.provenance is Provenance.MEMORY
    better = standard_uncertainty([Decimal("22.0")], CALIPER, repeatability=Decimal("0.05"))
    assert better.u < standard_uncertainty([Decimal("22.0")], CALIPER).u


def test_equal_repeats_leave_the_share_of_the_instrument() -> None:
    estimate = standard_uncertainty([Decimal("22.0")] * 3, CALIPER)
    assert estimate.spread == 0
    assert near(estimate.u, "0.01756")
    assert estimate.degrees_of_freedom is None


def test_no_reading_is_no_mean() -> None:
    with pytest.raises(InputError, match="at least one reading"):
        mean_and_spread([])


def test_a_sum_carries_the_root_of_the_squares() -> None:
    """Derived here: 0.3, 0.4 and twice 0.6 make 1.3."""
    assert propagate(
        [
            Term(Decimal(1), Decimal("0.3")),
            Term(Decimal(-1), Decimal("0.4")),
            Term(Decimal(2), Decimal("0.6")),
        ]
    ) == Decimal("1.3")


def test_free_way_space_is_uncertain_by_both_readings() -> None:
    """Derived here: skin marks that scatter by 1 mm, three readings each: u = √(2/3) = 0.8 mm."""
    share = Decimal(1) / Decimal(3).sqrt()
    assert near(propagate([Term(Decimal(1), share), Term(Decimal(-1), share)]), "0.8")


@pytest.mark.parametrize("name", INSTRUMENTS)
def test_an_instrument_states_step_error_and_where_they_come_from(name: str) -> None:
    each = INSTRUMENTS[name]
    assert each.resolution > 0
    assert each.maximum_permissible_error > 0
    assert each.source.provenance in (Provenance.MEMORY, Provenance.COMMON)
    assert each.unit in ("mm", "deg")


def test_a_calipers_error_is_not_below_its_step() -> None:
    """ISO 13385-1:2019, as seen in a catalogue: the permissible error is never below the digital step."""
    for name in ("digital_caliper", "vernier_caliper", "depth_rod"):
        assert INSTRUMENTS[name].maximum_permissible_error >= INSTRUMENTS[name].resolution


def test_an_unstated_instrument_is_trusted_less_than_a_caliper() -> None:
    readings = [Decimal("22.0")] * 3
    stated, not_stated = (
        standard_uncertainty(readings, INSTRUMENTS[n]).u for n in ("digital_caliper", "not_stated")
    )
    assert not_stated > 10 * stated


def test_degrees_are_read_with_instruments_for_degrees() -> None:
    assert set(instruments_for("deg")).isdisjoint(instruments_for("mm"))
    assert instruments_for("count") == {}


def test_an_unknown_instrument_is_answered_with_the_names() -> None:
    with pytest.raises(InputError, match="digital_caliper"):
        instrument("laser")


@given(READINGS)
def test_mean_and_spread_agree_with_the_standard_library(values: list[Decimal]) -> None:
    mean, spread = mean_and_spread(values)
    assert float(mean) == pytest.approx(float(statistics.mean(values)), abs=1e-12)
    if len(values) > 1:
        assert float(spread or 0) == pytest.approx(float(statistics.stdev(values)), abs=1e-9)


@given(READINGS, st.sampled_from(sorted(INSTRUMENTS)))
def test_the_whole_is_never_surer_than_any_of_its_parts(values: list[Decimal], name: str) -> None:
    estimate = standard_uncertainty(values, INSTRUMENTS[name])
    assert estimate.u >= max(share.u for share in estimate.contributions) * (1 - Decimal("1e-20"))
    # The mean of equal thirds is rounded in its last digit.
    slack = Decimal("1e-20")
    assert min(values) - slack <= estimate.value <= max(values) + slack
