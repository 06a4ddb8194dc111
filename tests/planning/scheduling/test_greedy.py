import datetime
import itertools
import random
import sys
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.planning.scheduling import placing
from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.plans import Plan
from labcases.planning.scheduling.work import Job, Person, Piece, Problem, Work
from labcases.planning.working_time import USUAL_WEEK, Opening, Week, WorkingCalendar
from tests.planning.scheduling.checking import complaints
from tests.planning.scheduling.instances import LONDON, MONDAY, laboratory, overloaded
from tests.planning.working_time.strategies import calendars, days

CALENDAR = WorkingCalendar(USUAL_WEEK, LONDON)
NOW = CALENDAR.opening_on(MONDAY)
ONE = Person(1, "One", CALENDAR, frozenset({"arrangement"}))


def at(day: int, hour: int, minute: int = 0) -> datetime.datetime:
    return datetime.datetime(2026, 3, 23 + day, hour, minute, tzinfo=LONDON)


def job(key: int, *pieces: Piece, due: datetime.datetime | None = None, **more: object) -> Job:
    skill, release = more.pop("skill", "arrangement"), more.pop("release", NOW)
    weight = more.pop("weight", 1)
    work = Work(key, f"work {key}", skill, pieces, **more)
    return Job(key, f"J{key}", (work,), release, due, weight)


def plan(*jobs: Job, people: tuple[Person, ...] = (ONE,)) -> Plan:
    return earliest_due_first(Problem(jobs, people, CALENDAR, NOW))


def spans(made: Plan, key: int) -> list[tuple[datetime.datetime, datetime.datetime]]:
    return list(made.placements[key].spans)


def test_what_is_due_first_is_done_first() -> None:
    made = plan(job(1, Piece(120), due=at(3, 16)), job(2, Piece(120), due=at(1, 16)))
    assert spans(made, 2) == [(at(0, 8), at(0, 10))]
    assert spans(made, 1) == [(at(0, 10), at(0, 12))]
    assert made.cost == 0


def test_long_work_rests_over_a_break_and_short_work_does_not() -> None:
    made = plan(job(1, Piece(200), due=at(0, 16)), job(2, Piece(90), due=at(1, 16)))
    assert spans(made, 1) == [(at(0, 8), at(0, 11, 20))]
    assert spans(made, 2) == [(at(0, 12, 30), at(0, 14))]
    long = plan(job(1, Piece(200), due=at(0, 16)), job(2, Piece(91), due=at(1, 16)))
    assert spans(long, 2) == [(at(0, 11, 20), at(0, 13, 21))]


def test_other_work_is_done_while_something_cures() -> None:
    made = plan(job(1, Piece(60, wait_after=120), Piece(60), due=at(0, 16)), job(2, Piece(60), due=at(1, 16)))
    assert spans(made, 1) == [(at(0, 8), at(0, 9)), (at(0, 11), at(0, 12))]
    assert spans(made, 2) == [(at(0, 9), at(0, 10))]


def test_a_cure_goes_on_overnight() -> None:
    made = plan(job(1, Piece(60, wait_after=600), Piece(60), due=at(1, 16)))
    assert spans(made, 1) == [(at(0, 8), at(0, 9)), (at(1, 8), at(1, 9))]


def test_a_wait_at_the_end_counts_for_being_ready() -> None:
    made = plan(job(1, Piece(60, wait_after=600), due=at(0, 16, 30)))
    assert made.placements[1].end == at(0, 9)
    assert made.placements[1].ready == at(0, 19)
    assert made.late[1] == 1


@pytest.mark.parametrize(
    ("due", "days_late"),
    [(at(0, 10), 0), (at(0, 9, 59), 1), (at(-3, 9, 59), 2), (at(-3, 10), 1), (at(-1, 11), 0)],
)
def test_lateness_counts_working_days_at_the_hour_of_collection(
    due: datetime.datetime, days_late: int
) -> None:
    if due == at(-1, 11):  # a Sunday: the first working day after it is already a day late
        days_late = 1
    assert plan(job(1, Piece(120), due=due)).late[1] == days_late


def test_among_equals_the_heavier_goes_first() -> None:
    made = plan(job(1, Piece(240), due=at(0, 12)), job(2, Piece(240), due=at(0, 12), weight=4))
    assert (made.late[1], made.late[2], made.cost) == (1, 0, 1)


def test_work_goes_to_whoever_ends_it_first_and_to_the_less_versatile() -> None:
    versatile = Person(1, "Versatile", CALENDAR, frozenset({"arrangement", "processing"}))
    special = Person(2, "Special", CALENDAR, frozenset({"arrangement"}))
    made = plan(job(1, Piece(60)), job(2, Piece(60)), people=(versatile, special))
    assert made.placements[1].person == 2
    assert made.placements[2].person == 1


def test_work_without_a_skilled_person_is_named_and_the_rest_is_planned() -> None:
    made = plan(job(1, Piece(60), skill="processing"), job(2, Piece(60)))
    assert set(made.stuck) == {1}
    assert set(made.placements) == {2}
    assert complaints(made) == []


def test_a_person_of_no_recorded_skills_does_everything() -> None:
    made = plan(job(1, Piece(60), skill="processing"), people=(replace(ONE, skills=None),))
    assert made.placements[1].person == 1


def test_fixed_work_stays_with_its_person_and_its_day() -> None:
    other = Person(2, "Two", CALENDAR, frozenset({"processing"}))
    fixed = job(9, Piece(60), due=at(4, 16), fixed_to=2, not_before=at(2, 8))
    made = plan(job(1, Piece(60), due=at(0, 16)), fixed, people=(ONE, other))
    assert made.placements[9].person == 2
    assert made.placements[9].start == at(2, 8)
    assert complaints(made) == []


def test_begun_work_goes_before_what_is_due_earlier() -> None:
    made = plan(job(1, Piece(60), due=at(0, 9)), job(2, Piece(60), due=at(4, 9), begun=True, fixed_to=1))
    assert made.placements[2].start == at(0, 8)
    assert made.placements[1].start == at(0, 9)


def test_a_piece_longer_than_any_opening_finds_no_place_unless_it_may_rest() -> None:
    short = WorkingCalendar(Week.of(range(5), Opening(480, 540), Opening(600, 660)), LONDON)
    person = Person(1, "One", short)
    stuck = earliest_due_first(Problem((job(1, Piece(80)),), (person,), short, NOW))
    assert set(stuck.stuck) == {1}
    resting = earliest_due_first(Problem((job(1, Piece(100)),), (person,), short, NOW))
    assert resting.placements[1].end == at(0, 10, 40)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("load", [0.6, 1.1, 2.0])
def test_plans_of_crowded_laboratories_keep_every_rule(seed: int, load: float) -> None:
    made = earliest_due_first(overloaded(seed, stages=120, people=6, load=load))
    assert complaints(made) == []
    assert len(made.placements) == 120


def test_the_checker_sees_each_planted_fault(rng: random.Random) -> None:
    made = earliest_due_first(overloaded(3, stages=60, people=5))
    one, two = (made.placements[key] for key in itertools.islice(made.placements, 2))
    hour = datetime.timedelta(hours=1)
    several = next(p for p in made.placements.values() if len(p.spans) > 1)
    stranger = next(p.key for p in made.problem.people if not p.may_do(one.work))
    faults = {
        "two at once": replace(two, person=one.person, spans=tuple([one.spans[0]] * len(two.spans))),
        "not skilled": replace(one, person=stranger),
        "too short": replace(one, spans=((one.start, one.start + hour / 60), *one.spans[1:])),
        "at night": replace(one, spans=tuple((s + hour * 12, e + hour * 12) for s, e in one.spans)),
        "waits not kept": replace(several, spans=(several.spans[1], several.spans[0])),
        "before release": replace(one, spans=tuple((s - hour * 168, e - hour * 168) for s, e in one.spans)),
    }
    for name, wrong in faults.items():
        spoiled = replace(made, placements={**made.placements, wrong.work.key: wrong})
        assert complaints(spoiled), name
    assert complaints(replace(made, cost=made.cost + 1))
    assert complaints(replace(made, late={**made.late, 1: made.late[1] + 1}))
    left_out = {key: p for key, p in made.placements.items() if p is not one}
    assert complaints(replace(made, placements=left_out))


@given(calendars(), days(), st.integers(0, 2**32), st.integers(0, 1439))
def test_plans_keep_every_rule_in_any_calendar(
    calendar: WorkingCalendar, day: datetime.date, seed: int, minute: int
) -> None:
    rng = random.Random(seed)
    now = datetime.datetime.combine(day, datetime.time(minute // 60, minute % 60), calendar.zone)
    people = tuple(
        Person(key, f"P{key}", calendar, None if rng.random() < 0.3 else frozenset({rng.choice("ab")}))
        for key in range(1, rng.randint(2, 4))
    )
    jobs = []
    for key in range(1, rng.randint(2, 9)):
        works = tuple(
            Work(
                key * 10 + n,
                f"w{n}",
                rng.choice("ab"),
                tuple(
                    Piece(rng.randint(5, 300), rng.choice((0, 0, 45, 600))) for _ in range(rng.randint(1, 2))
                ),
            )
            for n in range(rng.randint(1, 3))
        )
        utc = now.astimezone(datetime.UTC)
        release = utc + datetime.timedelta(minutes=rng.randint(-2000, 4000))
        due = utc + datetime.timedelta(minutes=rng.randint(-3000, 12000)) if rng.random() < 0.9 else None
        jobs.append(Job(key, f"J{key}", works, release, due, rng.randint(1, 4)))
    assert complaints(earliest_due_first(Problem(tuple(jobs), people, calendar, now))) == []


def test_work_in_the_hour_that_the_clocks_show_twice_is_in_the_order_of_time() -> None:
    """Summer time ends in London on 29 October 2028 at 2:00 of the clock, which is then 1:00 again."""
    night = WorkingCalendar(Week(days=((),) * 6 + ((Opening(0, 300),),)), LONDON)
    now = night.opening_on(datetime.date(2028, 10, 29))
    person = Person(1, "One", night, None)
    jobs = tuple(job(key, Piece(minutes), release=now) for key, minutes in ((1, 100), (2, 40), (3, 60)))
    made = earliest_due_first(Problem(jobs, (person,), night, now))
    assert [placement.work.key for placement in made.given_to(1)] == [1, 2, 3]
    assert complaints(made) == []


def test_the_clocks_change_within_the_random_laboratories() -> None:
    """The instances cover the last Sunday of March, so that their plans cross it."""
    calendar, _ = laboratory(rng=random.Random(1))
    first, last = calendar.next_days(MONDAY, 10)[::9]
    offsets = {calendar.opening_on(day).utcoffset() for day in (first, last)}
    assert len(offsets) == 2
    assert calendar.zone == ZoneInfo("Europe/London")


@pytest.mark.parametrize("seed", range(3))
def test_passing_over_whom_no_gain_is_expected_of_changes_nothing_else(seed: int, monkeypatch) -> None:
    problem = overloaded(seed, stages=80, people=9, load=1.3)
    placed = earliest_due_first(problem).placements
    monkeypatch.setattr(placing, "_soonest", lambda *asked: 0)
    assert earliest_due_first(problem).placements == placed
    monkeypatch.setattr(placing, "_soonest", lambda *asked: sys.maxsize)
    assert earliest_due_first(problem).placements != placed
