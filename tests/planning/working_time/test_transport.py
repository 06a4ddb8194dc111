import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from labcases.planning.working_time import (
    USUAL_WEEK,
    NoWorkingTime,
    Opening,
    Transport,
    Week,
    WorkingCalendar,
)
from tests.planning.working_time.strategies import calendars, days

date = datetime.date
LONDON = ZoneInfo("Europe/London")
PLAIN = WorkingCalendar(USUAL_WEEK, LONDON, {date(2026, 5, 25): "Spring Bank Holiday"})
TUESDAYS_AND_FRIDAYS = Transport({1: 15 * 60, 4: 11 * 60})


def local(*parts: int) -> datetime.datetime:
    return datetime.datetime(*parts, tzinfo=LONDON)


@pytest.mark.parametrize(
    ("transport", "appointment", "ready"),
    [
        (Transport(), date(2026, 5, 13), local(2026, 5, 12, 16, 30)),
        (Transport(), date(2026, 5, 11), local(2026, 5, 8, 16, 30)),
        (Transport(), date(2026, 5, 26), local(2026, 5, 22, 16, 30)),
        (Transport(transit_days=1), date(2026, 5, 13), local(2026, 5, 11, 16, 30)),
        (Transport(transit_days=1), date(2026, 5, 26), local(2026, 5, 21, 16, 30)),
        (TUESDAYS_AND_FRIDAYS, date(2026, 5, 13), local(2026, 5, 12, 15, 0)),
        (TUESDAYS_AND_FRIDAYS, date(2026, 5, 12), local(2026, 5, 8, 11, 0)),
    ],
)
def test_work_leaves_so_that_it_is_back_the_evening_before(
    transport: Transport, appointment: date, ready: datetime.datetime
) -> None:
    assert transport.last_collection_for(appointment, PLAIN) == ready


def test_work_ready_after_the_cut_off_waits_for_the_next_collection() -> None:
    assert TUESDAYS_AND_FRIDAYS.next_collection(local(2026, 5, 12, 15, 0), PLAIN).day == 12
    late = TUESDAYS_AND_FRIDAYS.next_collection(local(2026, 5, 12, 15, 1), PLAIN)
    assert late == local(2026, 5, 15, 11, 0)
    assert TUESDAYS_AND_FRIDAYS.first_appointment(local(2026, 5, 12, 15, 1), PLAIN) == date(2026, 5, 18)


def test_a_cut_off_after_closing_time_is_closing_time() -> None:
    assert Transport({0: 20 * 60}).collection_on(date(2026, 5, 11), PLAIN) == local(2026, 5, 11, 16, 30)


def test_nothing_is_collected_on_a_closed_day() -> None:
    mondays = Transport({0: 15 * 60})
    assert mondays.collection_on(date(2026, 5, 25), PLAIN) is None
    assert mondays.last_collection_for(date(2026, 5, 27), PLAIN) == local(2026, 5, 18, 15, 0)


def test_nothing_is_collected_on_a_day_whose_only_hour_the_clock_skips() -> None:
    """Europe/London has no 01:00 to 02:00 on 29 March 2026."""
    sundays = WorkingCalendar(Week.of([6], Opening(60, 75)), LONDON)
    assert Transport().collection_on(date(2026, 3, 29), sundays) is None
    assert Transport().next_collection(local(2026, 3, 28), sundays) == local(2026, 4, 5, 1, 15)


def test_a_practice_collected_only_on_days_off_is_told_so() -> None:
    with pytest.raises(NoWorkingTime, match="Nothing is collected"):
        Transport({6: 600}).next_collection(local(2026, 5, 12), PLAIN)
    with pytest.raises(NoWorkingTime, match="Nothing is collected"):
        Transport({6: 600}).last_collection_for(date(2026, 5, 12), PLAIN)


@given(
    calendars(),
    days(),
    st.dictionaries(st.integers(0, 6), st.integers(0, 1439)),
    st.integers(0, 3),
)
def test_the_last_collection_is_the_last_that_is_in_time(
    calendar: WorkingCalendar, day: date, cut_offs: dict[int, int], transit: int
) -> None:
    transport = Transport(cut_offs, transit)
    try:
        ready = transport.last_collection_for(day, calendar)
    except NoWorkingTime:
        assume(False)
    assert transport.arrival_of(ready, calendar) < day
    later = transport.next_collection(
        ready.astimezone(datetime.UTC) + datetime.timedelta(seconds=1), calendar
    )
    assert transport.arrival_of(later, calendar) >= day
    assert transport.first_appointment(ready, calendar) > transport.arrival_of(ready, calendar)
