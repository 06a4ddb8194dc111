import datetime
from dataclasses import replace

import pytest

from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.promising import promise
from labcases.planning.scheduling.work import Job, Person, Piece, Problem, Work
from labcases.planning.working_time import USUAL_WEEK, Transport, WorkingCalendar
from tests.planning.scheduling.instances import LONDON, overloaded

CALENDAR = WorkingCalendar(USUAL_WEEK, LONDON)
ONE = Person(1, "One", CALENDAR, frozenset({"arrangement"}))
NOW = datetime.datetime(2026, 3, 23, 8, 0, tzinfo=LONDON)
DAILY = Transport()


def job(key: int, minutes: int, *, skill: str = "arrangement", due: datetime.datetime | None = None) -> Job:
    return Job(key, f"J{key}", (Work(key, f"work {key}", skill, (Piece(minutes),)),), NOW, due)


def day(number: int) -> datetime.date:
    return datetime.date(2026, 3, number)


def test_an_idle_laboratory_promises_tomorrow() -> None:
    found = promise(Problem((), (ONE,), CALENDAR, NOW), job(1, 240), DAILY)
    assert found.ready == NOW + datetime.timedelta(hours=4)
    assert found.collection == datetime.datetime(2026, 3, 23, 16, 30, tzinfo=LONDON)
    assert found.first_day == day(24)
    assert found.keeps(day(24))
    assert not found.keeps(day(23))


def test_a_promise_comes_after_the_work_that_is_there() -> None:
    load = tuple(job(key, 480, due=NOW + datetime.timedelta(days=30)) for key in (2, 3))
    found = promise(Problem(load, (ONE,), CALENDAR, NOW), job(1, 240), DAILY)
    assert found.first_day == day(26)


def test_a_promise_waits_for_the_practice_s_collection() -> None:
    fridays = Transport({4: 11 * 60})
    found = promise(Problem((), (ONE,), CALENDAR, NOW), job(1, 240), fridays)
    assert found.collection == datetime.datetime(2026, 3, 27, 11, 0, tzinfo=LONDON)
    assert found.first_day == day(30)


def test_nobody_with_the_skill_is_no_promise_and_says_why() -> None:
    found = promise(Problem((), (ONE,), CALENDAR, NOW), job(1, 240, skill="processing"), DAILY)
    assert found.first_day is None
    assert not found.keeps(day(30))
    assert found.obstacle == "Nobody here does processing and finishing."


@pytest.mark.parametrize("seed", range(3))
def test_a_promise_makes_nothing_else_later(seed: int) -> None:
    """The promised work, put in where it was promised, leaves every other placement where it was."""
    problem = overloaded(seed, stages=80, people=6)
    newcomer = replace(
        problem.jobs[5],
        key=9_000,
        due=None,
        works=tuple(replace(work, key=9_000 + n) for n, work in enumerate(problem.jobs[5].works)),
    )
    found = promise(problem, newcomer, DAILY)
    before = earliest_due_first(problem)
    together = earliest_due_first(replace(problem, jobs=(*problem.jobs, newcomer)))
    assert together.of(newcomer) == found.placements
    assert {key: together.placements[key].spans for key in before.placements} == {
        key: placement.spans for key, placement in before.placements.items()
    }
