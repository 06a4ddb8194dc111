"""The laboratory's open work as a planning problem."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from labcases.cases.choices import CaseKind, Location, Place, StageState
from labcases.cases.models import Case, Stage
from labcases.cases.querysets import StageQuerySet
from labcases.planning.queries.basis import Basis, CaseOnPlan, PersonOnPlan, StageOnPlan, read_basis
from labcases.planning.queries.calendars import Hours, laboratory_calendar, read_hours, transports
from labcases.planning.queries.times import standard_times
from labcases.planning.scheduling.times import StandardTime
from labcases.planning.scheduling.work import Job, Person, Piece, Problem, Work
from labcases.planning.working_time import USUAL_WEEK, NoWorkingTime, Transport, WorkingCalendar

# As they stand in the database, or as a plan is made from them: by the same names.
AnyCase = Case | CaseOnPlan
AnyStage = Stage | StageOnPlan

DAYS = 10
# An immediate denture's surgery is booked (common practice, no source); a manager may weigh any case otherwise.
USUAL_WEIGHTS: Mapping[str, int] = {CaseKind.IMMEDIATE: 3}
# A stage that should be finished by the clock still needs some time.
LEAST_LEFT = 5


@dataclass(frozen=True)
class Leg:
    """Open laboratory stages of a case between two visits: one job of the plan, with what it came from."""

    job: Job
    case: Any
    stages: tuple[Any, ...]
    wanted_on: datetime.date | None


@dataclass(frozen=True)
class Load:
    """`legs` finds by a job's key what it stands for; `everyone` are all to whom work can be given.

    `unplanned` are stages without a start, each with its case: a visit comes before them for which no day is known.
    """

    problem: Problem
    legs: Mapping[int, Leg]
    people: Mapping[int, PersonOnPlan]
    transports: Mapping[int, Transport]
    everyone: tuple[PersonOnPlan, ...]
    unplanned: tuple[tuple[CaseOnPlan, StageOnPlan], ...]

    def transport_of(self, case: AnyCase) -> Transport:
        return self.transports.get(case.practice_id, Transport())


@dataclass(frozen=True)
class Facts:
    """What every job is made from, read once."""

    now: datetime.datetime
    calendar: WorkingCalendar
    times: Mapping[str, StandardTime]
    transports: Mapping[int, Transport]
    hours: Hours


def read_facts(*, now: datetime.datetime) -> Facts:
    hours = read_hours()
    return Facts(now, laboratory_calendar(hours), standard_times(), transports(), hours)


def facts_of(basis: Basis, *, now: datetime.datetime) -> Facts:
    calendar = WorkingCalendar(basis.hours.get(None, USUAL_WEEK), basis.zone, basis.closed)
    return Facts(now, calendar, basis.times, basis.transports, basis.hours)


def read_load(*, now: datetime.datetime, days: int = DAYS, as_given: bool = False) -> Load:
    return load_of(read_basis(now=now), now=now, days=days, as_given=as_given)


def load_of(basis: Basis, *, now: datetime.datetime, days: int = DAYS, as_given: bool = False) -> Load:
    """All open laboratory work that can begin within the days planned.

    Work begun, pinned or given by hand is fixed to its person; with `as_given` so is work given by an accepted
    proposal, for a picture of how things stand.
    """
    facts, people = facts_of(basis, now=now), basis.at_the_bench
    empty = Problem((), _people_as_planned(people, basis, facts), facts.calendar, now, days)
    legs: dict[int, Leg] = {}
    unplanned: list[tuple[CaseOnPlan, StageOnPlan]] = []
    for case, stages in basis.cases:
        for leg in legs_of(case, stages, facts, as_given=as_given):
            if not isinstance(leg, Leg):
                unplanned.append((case, leg))
            elif leg.job.release <= empty.horizon:
                legs[leg.job.key] = leg
    problem = Problem(tuple(leg.job for leg in legs.values()), empty.people, facts.calendar, now, days)
    found = {person.pk: person for person in people}
    return Load(problem, legs, found, basis.transports, basis.everyone, tuple(unplanned))


def _people_as_planned(people: Iterable[PersonOnPlan], basis: Basis, facts: Facts) -> tuple[Person, ...]:
    """Each in a calendar of their own: own hours where there are any, less absences."""
    return tuple(
        Person(
            person.pk,
            person.display_name,
            facts.calendar.for_person(
                week=basis.hours.get(person.pk), absences=basis.absences.get(person.pk, ())
            ),
            person.skills,
        )
        for person in people
    )


def with_plans(stages: StageQuerySet) -> StageQuerySet:
    """Open stages with all that a plan asks of them, in one query."""
    related = ("case", "case__practice", "case__weight", "assignee", "planned_work")
    return stages.open().select_related(*related)


def legs_of(case: AnyCase, stages: Iterable[Any], facts: Facts, *, as_given: bool = False) -> Iterable[Any]:
    """The case's open stages cut at its visits; stages that have no known start come as they are."""
    release: datetime.datetime | None = first_release(case, facts)
    waiting: list[AnyStage] = []
    for stage in stages:
        if stage.place == Place.LABORATORY:
            waiting.append(stage)
            continue
        if waiting:
            yield from _leg(case, waiting, stage.due_on, release, facts, as_given)
        release, waiting = after_visit(stage.due_on, facts), []
    if waiting:
        yield from _leg(case, waiting, None, release, facts, as_given)


def _leg(
    case: AnyCase,
    stages: list[AnyStage],
    wanted_on: datetime.date | None,
    release: datetime.datetime | None,
    facts: Facts,
    as_given: bool,
) -> Iterable[Leg | AnyStage]:
    if release is None:
        yield from stages
        return
    works = tuple(work_of(stage, case, facts, as_given=as_given) for stage in stages)
    due = due_time(case, wanted_on or stages[-1].due_on, facts, is_visit=wanted_on is not None)
    job = Job(stages[0].pk, case.number, works, release, due, weight_of(case))
    yield Leg(job, case, tuple(stages), wanted_on)


def weight_of(case: AnyCase) -> int:
    """The manager's weight for a case, or its kind's."""
    own = getattr(case, "weight", None)
    return own.weight if own is not None else USUAL_WEIGHTS.get(case.kind, 1)


def due_time(
    case: AnyCase, day: datetime.date | None, facts: Facts, *, is_visit: bool
) -> datetime.datetime | None:
    """When work must be ready: for a visit, for its last collection; for a plain day, at its end."""
    if day is None:
        return None
    transport = facts.transports.get(case.practice_id, Transport())
    try:
        if is_visit:
            return transport.last_collection_for(day, facts.calendar)
        return facts.calendar.closing_on(facts.calendar.working_day(day, forward=False))
    except NoWorkingTime:
        return None


def first_release(case: AnyCase, facts: Facts) -> datetime.datetime:
    """When work on the case's next stage can begin: at once if it is here, tomorrow if it is on its way."""
    if case.location == Location.LABORATORY:
        return facts.now
    return next_morning(facts.calendar.day_of(facts.now), facts)


def after_visit(day: datetime.date | None, facts: Facts) -> datetime.datetime | None:
    """The morning after a visit, plus the way; a visit that should have been is expected today."""
    if day is None:
        return None
    return next_morning(max(day, facts.calendar.day_of(facts.now)), facts)


def next_morning(day: datetime.date, facts: Facts) -> datetime.datetime:
    morning = facts.calendar.local(
        datetime.datetime.combine(day + datetime.timedelta(days=1), datetime.time(), facts.calendar.zone)
    )
    return facts.calendar.next_open(morning)


def work_of(stage: AnyStage, case: AnyCase, facts: Facts, *, as_given: bool = False) -> Work:
    time = facts.times[stage.kind]
    pieces = time.pieces(arches=len(case.arch_names))
    if stage.state == StageState.IN_PROGRESS and stage.started_at:
        left, resume = what_is_left(pieces, stage.started_at, facts)
        return Work(stage.pk, stage.label, time.skill, left, stage.assignee_id, resume, begun=True)
    fixed, day = _fixed(stage, as_given)
    not_before = _morning_of(day, facts) if day else None
    return Work(stage.pk, stage.label, time.skill, pieces, fixed, not_before)


def _fixed(stage: AnyStage, as_given: bool) -> tuple[int | None, datetime.date | None]:
    """To whom a waiting stage is fixed, and for which day: given by hand, it stays; by a proposal, it may move."""
    if stage.assignee_id is None:
        return None, None
    planned = getattr(stage, "planned_work", None)
    if planned is not None and planned.person_id == stage.assignee_id and not (planned.pinned or as_given):
        return None, None
    return stage.assignee_id, stage.planned_on


def _morning_of(day: datetime.date, facts: Facts) -> datetime.datetime | None:
    """The start of a planned day that is still to come."""
    if day <= facts.calendar.day_of(facts.now):
        return None
    return datetime.datetime.combine(day, datetime.time(), facts.calendar.zone)


def what_is_left(
    pieces: tuple[Piece, ...], started_at: datetime.datetime, facts: Facts
) -> tuple[tuple[Piece, ...], datetime.datetime | None]:
    """What a begun stage still needs if it went by the standard time, and when its wait is over."""
    done = facts.calendar.minutes_between(started_at, facts.now)
    first, *rest = pieces
    if not rest or done < first.minutes:
        return (Piece(max(LEAST_LEFT, round(first.minutes - done)), first.wait_after), *rest), None
    over = facts.calendar.add_minutes(started_at, first.minutes).astimezone(datetime.UTC)
    over += datetime.timedelta(minutes=first.wait_after)
    if over > facts.now:
        return tuple(rest), facts.calendar.local(over)
    done = facts.calendar.minutes_between(over, facts.now)
    return (Piece(max(LEAST_LEFT, round(rest[0].minutes - done)), rest[0].wait_after),), None
