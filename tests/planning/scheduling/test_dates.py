import datetime
import random
from dataclasses import replace

import numpy as np
import pytest

from labcases.planning.scheduling.dates import due_days, windows
from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.work import Job, Person, Piece, Problem, Work
from labcases.planning.working_time import USUAL_WEEK, Opening, Week, WorkingCalendar
from tests.planning.scheduling.instances import LONDON, MONDAY, overloaded

CALENDAR = WorkingCalendar(USUAL_WEEK, LONDON)
MINUTE = datetime.timedelta(minutes=1)


def at(day: int, hour: int, minute: int = 0) -> datetime.datetime:
    return datetime.datetime(2026, 3, 23 + day, hour, minute, tzinfo=LONDON)


def job(*works: tuple[Piece, ...], due: datetime.datetime | None) -> Job:
    made = tuple(Work(n, f"w{n}", "a", pieces) for n, pieces in enumerate(works))
    return Job(1, "J", made, at(0, 8), due)


def test_windows_run_back_through_work_breaks_and_waits() -> None:
    first, second = windows(job((Piece(60, 45), Piece(60)), (Piece(240),), due=at(2, 16, 30)), CALENDAR)
    assert (second.latest_start, second.latest_finish) == (at(2, 12, 30), at(2, 16, 30))
    assert first.latest_finish == at(2, 12)
    assert first.latest_start == at(2, 9, 15)


def test_an_overnight_cure_pushes_the_start_to_the_day_before() -> None:
    (window,) = windows(job((Piece(120, 530), Piece(180)), due=at(2, 16, 30)), CALENDAR)
    assert window.latest_start == at(1, 14, 30)


def test_short_work_is_begun_early_enough_to_be_done_in_one_go() -> None:
    (window,) = windows(job((Piece(60),), due=at(2, 13)), CALENDAR)
    assert (window.latest_start, window.latest_finish) == (at(2, 11), at(2, 12))


def test_slack_is_what_is_left_in_working_time() -> None:
    (window,) = windows(job((Piece(60),), due=at(2, 12)), CALENDAR)
    assert window.slack_minutes(at(1, 16), CALENDAR) == 30 + 180
    assert window.slack_minutes(at(2, 11, 30), CALENDAR) == -30


def test_without_a_day_wanted_there_are_no_windows() -> None:
    assert windows(job((Piece(60),), due=None), CALENDAR) == ()


@pytest.mark.parametrize("seed", range(5))
def test_work_begun_at_its_latest_start_is_just_in_time(seed: int) -> None:
    """One person with hands free, told to begin then, is in time; begun a minute later, the job is late."""
    problem = overloaded(seed, stages=25, people=3)
    anyone = Person(1, "Anyone", problem.calendar)
    for each in problem.jobs:
        start = windows(each, problem.calendar)[0].latest_start
        for begin, late in ((start, False), (start + MINUTE, True)):
            alone = Problem((replace(each, release=begin),), (anyone,), problem.calendar, start)
            assert bool(earliest_due_first(alone).late[each.key]) is late


def test_due_days_lie_laboratory_days_apart() -> None:
    """Derived: rims due on Tuesday 29 December, a day each for rims and base, 25 and 28 December closed."""
    closed = {
        datetime.date(2026, 12, 25): "Christmas Day",
        datetime.date(2026, 12, 28): "Boxing Day, observed",
    }
    calendar = WorkingCalendar(USUAL_WEEK, LONDON, closed)
    assert due_days(datetime.date(2026, 12, 29), [1, 1, 1], calendar) == (
        datetime.date(2026, 12, 23),
        datetime.date(2026, 12, 24),
        datetime.date(2026, 12, 29),
    )


def test_due_days_agree_with_numpy_on_random_calendars(
    rng: random.Random, request: pytest.FixtureRequest
) -> None:
    for _ in range(20_000 if request.config.getoption("--full") else 2_000):
        mask = [rng.random() < 0.75 for _ in range(7)]
        mask[rng.randrange(7)] = True
        last = MONDAY + datetime.timedelta(days=rng.randrange(2000))
        closed = sorted({last - datetime.timedelta(days=rng.randrange(40)) for _ in range(rng.randrange(9))})
        week = Week.of([day for day, on in enumerate(mask) if on], Opening(480, 960))
        calendar = WorkingCalendar(week, LONDON, dict.fromkeys(closed, "closed"))
        lab_days = [rng.randrange(6) for _ in range(rng.randint(1, 5))]
        found = due_days(last, lab_days, calendar)
        expected = [np.busday_offset(last, 0, roll="backward", weekmask=mask, holidays=closed)]
        for count in reversed(lab_days[1:]):
            back = np.busday_offset(expected[0], -count, roll="backward", weekmask=mask, holidays=closed)
            expected.insert(0, back)
        assert found == tuple(day.item() for day in expected)
