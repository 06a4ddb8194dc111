"""How things stand: people by days, what is unassigned, late or at risk, and what a change would do."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from labcases.cases.models import Stage
from labcases.people.models import User
from labcases.planning.queries.basis import CaseOnPlan, PersonOnPlan, StageOnPlan
from labcases.planning.queries.load import DAYS, Leg, Load
from labcases.planning.queries.outlook import Outlook, outlook
from labcases.planning.scheduling.explaining import Cause, Explanation, day_in_words, hours, moment
from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.plans import Placement, Plan
from labcases.planning.scheduling.times import SKILLS
from labcases.planning.scheduling.work import Job, Person, Work
from labcases.prosthodontics.wording import figure, in_a_sentence

# Less slack than half a working day is called at risk (common practice, no source).
AT_RISK_MINUTES = 240


@dataclass(frozen=True)
class Cell:
    """One person's day: minutes there, minutes of it given away, and the stages worked on with their cases."""

    day: datetime.date
    there: int
    booked: int
    stages: tuple[tuple[CaseOnPlan, StageOnPlan], ...]

    @property
    def free(self) -> int:
        return max(0, self.there - self.booked)

    @property
    def hours(self) -> tuple[str, str]:
        """Hours given away and hours there, as they are read."""
        return figure(f"{self.booked / 60:.1f}"), figure(f"{self.there / 60:.1f}")

    @property
    def percent(self) -> int:
        return round(100 * self.booked / self.there) if self.there else 0


@dataclass(frozen=True)
class Row:
    person: PersonOnPlan
    cells: tuple[Cell, ...]

    @property
    def skills(self) -> str:
        known = self.person.known_skills
        return ", ".join(str(words) for skill, words in SKILLS.items() if skill in known) or _("everything")


@dataclass(frozen=True)
class Standing:
    """One open stage as it stands: its place in the projected plan and what becomes of its case."""

    stage: StageOnPlan
    leg: Leg
    placement: Placement | None
    explanation: Explanation

    @property
    def is_late(self) -> bool:
        return self.explanation.late_days > 0 or self.explanation.cause == Cause.NOBODY

    @property
    def is_at_risk(self) -> bool:
        slack = self.explanation.slack
        return not self.is_late and slack is not None and slack < AT_RISK_MINUTES

    @property
    def is_pinned(self) -> bool:
        """Whether proposals leave it where it is: given by hand, and not begun."""
        if self.stage.assignee_id is None or self.is_begun:
            return False
        planned = self.stage.planned_work
        return planned is None or planned.pinned or planned.person_id != self.stage.assignee_id

    @property
    def may_be_pinned(self) -> bool:
        return self.stage.assignee_id is not None and not self.is_begun and not self.is_pinned

    @property
    def is_begun(self) -> bool:
        return self.stage.is_begun


@dataclass(frozen=True)
class Board:
    """`standings` are all open stages that can begin within the days shown, the most pressing first; `everyone`
    are all to whom work can be given."""

    days: tuple[datetime.date, ...]
    rows: tuple[Row, ...]
    standings: tuple[Standing, ...]
    unplanned: tuple[tuple[CaseOnPlan, StageOnPlan], ...]
    late_cases: int
    at_risk_cases: int
    everyone: tuple[PersonOnPlan, ...]

    @property
    def unassigned(self) -> list[Standing]:
        return [standing for standing in self.standings if standing.stage.assignee_id is None]


def read_board(*, now: datetime.datetime, days: int = DAYS) -> Board:
    """The picture of the Plan page: work given away is where it was given, the rest is projected."""
    return _board(outlook(now=now, days=days))


@lru_cache(maxsize=1)
def _board(seen: Outlook) -> Board:
    load, plan = seen.load, seen.plan
    standings = _standings(seen)
    late = {standing.leg.case.pk for standing in standings if standing.is_late}
    at_risk = {standing.leg.case.pk for standing in standings if standing.is_at_risk} - late
    rows = tuple(_row(load, plan, person) for person in load.problem.people)
    shown = load.problem.planned_days
    return Board(shown, rows, standings, load.unplanned, len(late), len(at_risk), load.everyone)


def _standings(seen: Outlook) -> tuple[Standing, ...]:
    found = [
        Standing(stage, leg, seen.plan.placements.get(stage.pk), seen.explanations[key])
        for key, leg in seen.load.legs.items()
        for stage in leg.stages
    ]
    return tuple(sorted(found, key=_pressing))


def _pressing(standing: Standing) -> tuple[bool, float, str, int]:
    slack = standing.explanation.slack
    nobody = standing.explanation.cause == Cause.NOBODY
    return (
        not nobody,
        slack if slack is not None else float("inf"),
        standing.leg.case.number,
        standing.stage.position,
    )


def _row(load: Load, plan: Plan, person: Person) -> Row:
    given = [
        (placement, load.legs[placement.job.key].case, stage)
        for placement in plan.given_to(person.key)
        for stage in load.legs[placement.job.key].stages
        if stage.pk == placement.work.key and stage.assignee_id == person.key
    ]
    cells = tuple(_cell(person, day, given) for day in load.problem.planned_days)
    return Row(load.people[person.key], cells)


def _cell(
    person: Person, day: datetime.date, given: Sequence[tuple[Placement, CaseOnPlan, StageOnPlan]]
) -> Cell:
    spans = person.calendar.spans_on(day)
    booked, stages = 0.0, []
    for placement, case, stage in given:
        minutes = sum(
            max(0.0, (min(end, e) - max(start, s)).total_seconds() / 60)
            for start, end in placement.spans
            for s, e in spans
        )
        if minutes:
            booked += minutes
            stages.append((case, stage))
    return Cell(day, person.calendar.minutes_on(day), round(booked), tuple(stages))


@dataclass(frozen=True)
class Consequence:
    """What a change does to one case: days late before and after (None where it finds no place)."""

    leg: Leg
    before: int | None
    after: int | None
    ready: datetime.datetime | None
    words: str


@dataclass(frozen=True)
class Preview:
    """`warnings` are about the change itself, `consequences` about cases that become later or earlier."""

    warnings: tuple[str, ...]
    placements: tuple[Placement, ...]
    consequences: tuple[Consequence, ...]

    @property
    def worse(self) -> list[Consequence]:
        return [one for one in self.consequences if one.after is None or one.after > (one.before or 0)]


def preview(
    *, stages: Iterable[Stage], to: User | None, day: datetime.date | None, now: datetime.datetime
) -> Preview:
    """What giving these stages to a person (for a day) would do, before it is done."""
    wanted = {stage.pk: stage for stage in stages}
    seen = outlook(now=now)
    load, before = seen.load, seen.plan
    changed = replace(
        load.problem, jobs=tuple(_moved(job, wanted, to, day, load) for job in load.problem.jobs)
    )
    after = earliest_due_first(changed)
    consequences = [
        found for leg in load.legs.values() if (found := _consequence(leg, before, after)) is not None
    ]
    placements = tuple(after.placements[key] for key in wanted if key in after.placements)
    return Preview(tuple(_warnings(wanted.values(), to, day, load)), placements, tuple(consequences))


def _moved(job: Job, wanted: dict[int, Stage], to: User | None, day: datetime.date | None, load: Load) -> Job:
    def moved(work: Work) -> Work:
        if work.key not in wanted or work.begun:
            return work
        morning = None
        if day is not None and day > load.problem.calendar.day_of(load.problem.now):
            morning = datetime.datetime.combine(day, datetime.time(), load.problem.calendar.zone)
        return replace(work, fixed_to=to.pk if to else None, not_before=morning)

    return replace(job, works=tuple(moved(work) for work in job.works))


def _consequence(leg: Leg, before: Plan, after: Plan) -> Consequence | None:
    job = leg.job
    then, now = before.late.get(job.key), after.late.get(job.key)
    if then == now:
        return None
    changed = next(one for one in after.problem.jobs if one.key == job.key)
    ready = after.ready(changed)
    if now is None:
        words = _("finds no place any more")
    elif ready is not None and now > (then or 0):
        words = _("becomes {late}: ready {moment}").format(late=days_late(now), moment=moment(ready))
    elif now:
        words = _("is {late} instead of {before}").format(late=days_late(now), before=days_late(then))
    else:
        words = _("will be in time")
    return Consequence(leg, then, now, ready, words)


def days_late(days: int | None) -> str:
    if not days:
        return _("in time")
    return ngettext("{days} day late", "{days} days late", days).format(days=days)


def _warnings(
    stages: Iterable[Stage], to: User | None, day: datetime.date | None, load: Load
) -> Iterable[str]:
    if to is None:
        return
    person = next((one for one in load.problem.people if one.key == to.pk), None)
    if person is None:
        return
    works = {work.key: work for job in load.problem.jobs for work in job.works}
    for stage in stages:
        work = works.get(stage.pk)
        if work is not None and not person.has(work.skill):
            yield _("{person} has no recorded skill in {skill} ({stage}).").format(
                person=to, skill=in_a_sentence(SKILLS[work.skill]), stage=stage
            )
    if day is not None:
        there = person.calendar.minutes_on(day)
        asked = sum(works[stage.pk].minutes for stage in stages if stage.pk in works)
        if not there:
            yield _("{person} does not work on {day}.").format(person=to, day=day_in_words(day))
        elif asked > there:
            yield _("{person} has {there} on {day}; this takes {asked}.").format(
                person=to, there=hours(there), day=day_in_words(day), asked=hours(asked)
            )


def bench_order(user: User, *, now: datetime.datetime) -> list[Placement]:
    """A person's given work in the order that keeps appointments, with when each is planned."""
    seen = outlook(now=now)
    legs = seen.load.legs.values()
    given = {stage.pk for leg in legs for stage in leg.stages if stage.assignee_id == user.pk}
    return [placement for placement in seen.plan.given_to(user.pk) if placement.work.key in given]
