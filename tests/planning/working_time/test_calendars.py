import datetime
import random
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from labcases.planning.working_time import (
    USUAL_WEEK,
    Absence,
    NoWorkingTime,
    Opening,
    Week,
    WorkingCalendar,
)
from tests.planning.working_time.strategies import calendars, days, instants, minutes_by_sampling

UTC = datetime.UTC
LONDON = ZoneInfo("Europe/London")
date = datetime.date


def at(*parts: int, zone: datetime.tzinfo = LONDON, fold: int = 0) -> datetime.datetime:
    return datetime.datetime(*parts, tzinfo=zone, fold=fold)


def test_four_laboratory_days_before_christmas_end_on_the_24th() -> None:
    """Derived: 18 December 2026 and four days, with the 25th and the 28th closed."""
    closed = {date(2026, 12, 25): "Christmas Day", date(2026, 12, 28): "Boxing Day, observed"}
    calendar = WorkingCalendar(USUAL_WEEK, LONDON, closed)
    assert calendar.shift(date(2026, 12, 18), 4) == date(2026, 12, 24)
    assert calendar.shift(date(2026, 12, 24), 1) == date(2026, 12, 29)


def test_working_days_agree_with_numpy_on_random_calendars(
    rng: random.Random, request: pytest.FixtureRequest, proof
) -> None:
    tried = 20_000 if request.config.getoption("--full") else 2_000
    for _ in range(tried):
        mask = [rng.random() < 0.7 for _ in range(7)]
        mask[rng.randrange(7)] = True
        start = date(2024, 1, 1) + datetime.timedelta(days=rng.randrange(4000))
        closed = {start + datetime.timedelta(days=rng.randrange(-40, 41)) for _ in range(rng.randrange(12))}
        days_on = [day for day, on in enumerate(mask) if on]
        calendar = WorkingCalendar(Week.of(days_on, Opening(480, 960)), UTC, dict.fromkeys(closed, "closed"))
        count = rng.randrange(-25, 26)
        expected = np.busday_offset(
            start,
            count,
            roll="forward" if count >= 0 else "backward",
            weekmask=mask,
            holidays=sorted(closed),
        )
        assert calendar.shift(start, count) == expected.item(), (mask, start, sorted(closed), count)
        other = start + datetime.timedelta(days=rng.randrange(60))
        counted = np.busday_count(start, other, weekmask=mask, holidays=sorted(closed))
        assert calendar.working_days_between(start, other) == counted
    proof("working-days").reached(tried, "random calendars")


@given(calendars(), days(), st.integers(1, 20), st.integers(1, 20))
def test_shifting_days_twice_is_shifting_by_the_sum(
    calendar: WorkingCalendar, day: date, one: int, other: int
) -> None:
    assert calendar.shift(calendar.shift(day, one), other) == calendar.shift(day, one + other)
    assert calendar.shift(calendar.shift(day, -one), -other) == calendar.shift(day, -one - other)


@given(calendars(), days(), st.integers(1, 30))
def test_days_counted_between_are_the_days_that_were_shifted(
    calendar: WorkingCalendar, day: date, count: int
) -> None:
    start = calendar.working_day(day)
    end = calendar.shift(start, count)
    assert calendar.working_days_between(start, end) == count
    assert calendar.working_days_between(end, start) == -count
    assert calendar.shift(end, -count) == start


@given(calendars(), st.data())
def test_minutes_agree_with_looking_at_the_wall_clock_every_minute(
    calendar: WorkingCalendar, data: st.DataObject
) -> None:
    start = data.draw(instants(calendar))
    end = start + datetime.timedelta(minutes=data.draw(st.integers(0, 600)))
    assert calendar.minutes_between(start, end) == minutes_by_sampling(calendar, start, end)


@given(calendars(), st.data())
def test_minutes_added_are_the_minutes_between(calendar: WorkingCalendar, data: st.DataObject) -> None:
    start = data.draw(instants(calendar))
    minutes = data.draw(st.integers(0, 3000))
    end = calendar.add_minutes(start, minutes)
    assert calendar.minutes_between(start, end) == minutes
    begin = calendar.take_minutes(start, minutes)
    assert calendar.minutes_between(begin, start) == minutes


@given(calendars(), st.data())
def test_the_end_is_the_earliest_and_the_start_the_latest_possible(
    calendar: WorkingCalendar, data: st.DataObject
) -> None:
    start = data.draw(instants(calendar))
    minutes = data.draw(st.integers(1, 2000))
    second = datetime.timedelta(seconds=1)
    end = calendar.add_minutes(start, minutes)
    assert calendar.minutes_between(start, end.astimezone(UTC) - second) < minutes
    begin = calendar.take_minutes(start, minutes)
    assert calendar.minutes_between(begin.astimezone(UTC) + second, start) < minutes


def test_minutes_are_counted_over_the_hour_that_the_clocks_show_twice() -> None:
    """Summer time ends in London on 25 October 2026 at 2:00 of the clock, which is then 1:00 again."""
    week = Week(((),) * 6 + ((Opening(0, 75), Opening(95, 300)),))
    night = WorkingCalendar(week, LONDON)
    before, after = at(2026, 10, 25, 1, 40), at(2026, 10, 25, 1, 25, fold=1)
    assert night.minutes_between(before, after) == 35  # the break is from 1:15 to 1:35 in the second round
    assert night.minutes_between(after, before) == -35


@given(calendars(), st.data())
def test_adding_minutes_twice_is_adding_the_sum(calendar: WorkingCalendar, data: st.DataObject) -> None:
    start = data.draw(instants(calendar))
    one, other = data.draw(st.integers(0, 900)), data.draw(st.integers(0, 900))
    assume(other)
    assert calendar.add_minutes(calendar.add_minutes(start, one), other) == calendar.add_minutes(
        start, one + other
    )


@given(calendars(), st.data())
def test_work_goes_on_at_the_next_opening(calendar: WorkingCalendar, data: st.DataObject) -> None:
    start = data.draw(instants(calendar))
    opening = calendar.next_open(start)
    assert opening >= start
    assert calendar.minutes_between(start, opening) == 0
    assert calendar.minutes_between(opening, opening + datetime.timedelta(minutes=1)) > 0


@given(calendars(), days())
def test_a_day_is_a_working_day_when_it_has_minutes(calendar: WorkingCalendar, day: date) -> None:
    minutes = calendar.minutes_on(day)
    assert not minutes or calendar.is_working_day(day)
    if calendar.is_working_day(day) and not minutes:
        # The one hour that a clock skips can be all that a day had.
        assert sum(opening.minutes for opening in calendar.openings_on(day)) <= 60


@pytest.mark.parametrize(
    ("day", "hours", "minutes"),
    [
        (date(2026, 3, 29), Opening(0, 240), 180),
        (date(2026, 10, 25), Opening(0, 240), 300),
        (date(2026, 3, 29), Opening(60, 120), 0),
        (date(2026, 10, 25), Opening(60, 120), 120),
        (date(2026, 10, 25), Opening(75, 105), 60),
        (date(2026, 3, 28), Opening(60, 120), 60),
    ],
)
def test_a_night_shift_is_as_long_as_it_is_when_the_clocks_change(
    day: date, hours: Opening, minutes: int
) -> None:
    """Europe/London: 01:00 becomes 02:00 on 29 March 2026, 02:00 becomes 01:00 on 25 October 2026."""
    calendar = WorkingCalendar(Week.of(range(7), hours), LONDON)
    assert calendar.minutes_on(day) == minutes


def test_a_day_that_the_date_line_swallowed_has_no_minutes() -> None:
    """Samoa had no 30 December 2011."""
    calendar = WorkingCalendar(Week.of(range(7), Opening(0, 1440)), ZoneInfo("Pacific/Apia"))
    assert calendar.minutes_on(date(2011, 12, 29)) == 1440
    assert calendar.minutes_on(date(2011, 12, 30)) == 0
    assert calendar.minutes_on(date(2011, 12, 31)) == 1440


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_days_are_the_laboratory_s_own_at_both_ends_of_the_world(zone: str) -> None:
    """UTC+14 and UTC-11 are on different days at the same moment."""
    calendar = WorkingCalendar(USUAL_WEEK, ZoneInfo(zone))
    monday = calendar.opening_on(date(2027, 1, 4))
    assert (monday.date(), monday.hour, monday.minute) == (date(2027, 1, 4), 8, 0)
    friday = calendar.take_minutes(monday, 30)
    assert (friday.date(), friday.hour, friday.minute) == (date(2027, 1, 1), 16, 0)


@pytest.mark.parametrize(
    ("start", "minutes", "end"),
    [
        (at(2026, 12, 31, 16, 0), 60, at(2027, 1, 1, 8, 30)),
        (at(2028, 2, 28, 16, 0), 60, at(2028, 2, 29, 8, 30)),
        (at(2028, 2, 29, 16, 30), 1, at(2028, 3, 1, 8, 1)),
        (at(2026, 3, 27, 16, 0), 60, at(2026, 3, 30, 8, 30)),
        (at(2026, 5, 4, 11, 30), 60, at(2026, 5, 4, 13, 0)),
        (at(2026, 5, 4, 11, 30), 30, at(2026, 5, 4, 12, 0)),
        (at(2026, 5, 3, 3, 0), 480, at(2026, 5, 4, 16, 30)),
    ],
)
def test_minutes_run_over_breaks_nights_and_ends_of_months(
    start: datetime.datetime, minutes: int, end: datetime.datetime
) -> None:
    assert WorkingCalendar(USUAL_WEEK, LONDON).add_minutes(start, minutes) == end


def test_an_absence_takes_whole_days_or_hours_from_one_person_only() -> None:
    laboratory = WorkingCalendar(USUAL_WEEK, LONDON)
    leave = Absence(date(2026, 5, 5), date(2026, 5, 6))
    dentist = Absence(date(2026, 5, 7), date(2026, 5, 7), Opening(600, 780))
    person = laboratory.for_person(absences=(leave, dentist))
    assert not person.is_working_day(date(2026, 5, 5))
    assert person.openings_on(date(2026, 5, 7)) == (Opening(480, 600), Opening(780, 990))
    assert person.shift(date(2026, 5, 4), 1) == date(2026, 5, 7)
    assert laboratory.shift(date(2026, 5, 4), 1) == date(2026, 5, 5)


def test_a_part_time_week_keeps_the_laboratory_s_closed_days() -> None:
    closed = {date(2026, 5, 4): "May Day"}
    laboratory = WorkingCalendar(USUAL_WEEK, LONDON, closed)
    person = laboratory.for_person(week=Week.of([0, 1], Opening(540, 720)))
    assert person.next_days(date(2026, 5, 4), 2) == (date(2026, 5, 5), date(2026, 5, 11))


def test_a_calendar_without_openings_says_so_instead_of_searching_for_ever() -> None:
    never = WorkingCalendar(Week(((),) * 7), LONDON)
    for attempt in (
        lambda: never.shift(date(2026, 1, 1), 1),
        lambda: never.add_minutes(at(2026, 1, 1), 1),
        lambda: never.take_minutes(at(2026, 1, 1), 1),
        lambda: never.next_open(at(2026, 1, 1)),
    ):
        with pytest.raises(NoWorkingTime, match="There is no working"):
            attempt()
    assert never.minutes_between(at(2026, 1, 1), at(2027, 1, 1)) == 0
