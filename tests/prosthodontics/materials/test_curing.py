"""Curing by the clock."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as some

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials import CURING_CYCLES, Cycle, schedule, start_for
from labcases.prosthodontics.materials.curing import MONOMER_BOILS, Step

BERLIN = ZoneInfo("Europe/Berlin")


def own(*steps, least_hold=480):
    return Cycle("own", tuple(Step(*step) for step in steps), least_hold)


def test_the_long_cycle_from_half_past_five_is_ready_at_a_quarter_past_two():
    """Derived: 74 °C for 8 h from 17:30 to 01:30, 30 min bench, 15 min water: 02:15 the next day."""
    plan = schedule(datetime(2026, 11, 25, 17, 30, tzinfo=BERLIN), CURING_CYCLES["long"])
    assert plan.steps[0].end == datetime(2026, 11, 26, 1, 30, tzinfo=BERLIN)
    assert plan.ready_by == datetime(2026, 11, 26, 2, 15, tzinfo=BERLIN)


def test_the_delivered_cycles_are_those_of_the_teaching_notes():
    """Teaching notes (seen): 74 °C 8 h, by choice 1 h at 100 °C; 74 °C 1.5 to 2 h, then 100 °C 1 h."""
    holds = {
        name: [(step.temperature, step.minutes) for step in cycle.steps if step.temperature]
        for name, cycle in CURING_CYCLES.items()
    }
    assert holds == {
        "long": [(74, 480)],
        "long_with_boil": [(74, 480), (100, 60)],
        "short": [(74, 120), (100, 60)],
    }
    assert MONOMER_BOILS == 100.8


def test_a_night_in_which_the_clocks_go_back_still_cures_for_eight_hours():
    plan = schedule(datetime(2026, 10, 24, 22, 0, tzinfo=BERLIN), CURING_CYCLES["long"])
    hold = plan.steps[0]
    assert hold.end.astimezone(UTC) - hold.start.astimezone(UTC) == timedelta(hours=8)
    assert (hold.end.hour, hold.end.utcoffset()) == (5, timedelta(hours=1))


def test_a_night_in_which_the_clocks_go_forward_ends_an_hour_later_by_the_clock():
    plan = schedule(datetime(2026, 3, 28, 22, 0, tzinfo=BERLIN), CURING_CYCLES["long"])
    assert plan.steps[0].end.hour == 7


@given(
    start=some.integers(1_577_836_800, 2_051_222_400).map(lambda moment: datetime.fromtimestamp(moment, UTC)),
    name=some.sampled_from(sorted(CURING_CYCLES)),
    zone=some.sampled_from(["Europe/Berlin", "America/St_Johns", "Pacific/Apia", "UTC"]),
)
def test_starting_in_time_is_ready_in_time_in_every_zone(start, name, zone):
    ready = start.astimezone(ZoneInfo(zone))
    begin = start_for(ready, CURING_CYCLES[name])
    assert schedule(begin, CURING_CYCLES[name]).ready_by.astimezone(UTC) == start


def test_steps_follow_each_other_without_a_gap():
    steps = schedule(datetime(2026, 11, 25, 8, 0, tzinfo=UTC), CURING_CYCLES["long_with_boil"]).steps
    assert all(a.end == b.start for a, b in pairwise(steps))


def test_heat_above_100_before_the_hold_is_over_is_pointed_out():
    plan = schedule(
        datetime(2026, 1, 5, 8, tzinfo=UTC), own(("hold", 60, 74), ("boil", 60, 110), ("cool", 30))
    )
    assert any("before 480 minutes" in note and "100.8" in note for note in plan.notes)
    late = schedule(
        datetime(2026, 1, 5, 8, tzinfo=UTC), own(("hold", 480, 74), ("boil", 60, 110), ("cool", 30))
    )
    assert not any("before 480 minutes" in note for note in late.notes)


def test_too_short_a_hold_and_no_cooling_are_pointed_out():
    notes = schedule(datetime(2026, 1, 5, 8, tzinfo=UTC), own(("hold", 120, 74))).notes
    assert any("Only 120 minutes" in note for note in notes)
    assert any("No cooling" in note for note in notes)


def test_the_materials_own_instructions_always_go_first():
    for cycle in CURING_CYCLES.values():
        assert "own instructions" in schedule(datetime(2026, 1, 5, tzinfo=UTC), cycle).notes[0]


@pytest.mark.parametrize("cycle", CURING_CYCLES.values(), ids=CURING_CYCLES)
def test_delivered_cycles_need_no_warning(cycle):
    assert len(schedule(datetime(2026, 1, 5, tzinfo=UTC), cycle).notes) == 1


def test_a_time_without_its_zone_is_refused():
    naive = datetime.fromisoformat("2026-11-25T17:30")
    with pytest.raises(InputError, match="time zone"):
        schedule(naive, CURING_CYCLES["long"])
    with pytest.raises(InputError, match="time zone"):
        start_for(naive, CURING_CYCLES["long"])


@pytest.mark.parametrize(
    "cycle", [own(), own(("hold", 0, 74)), own(("hold", 60, 500)), own(("hold", float("nan"), 74))]
)
def test_impossible_cycles_are_refused(cycle):
    with pytest.raises(InputError):
        schedule(datetime(2026, 1, 5, tzinfo=UTC), cycle)
