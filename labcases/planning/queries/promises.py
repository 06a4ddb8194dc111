"""Can it be back by …? Asked for a case that is here or for one that is only being written."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

from django.utils.translation import gettext as _

from labcases.cases.choices import Arches, Location, Place, StageKind
from labcases.cases.models import Case, Stage
from labcases.cases.queries import path_for
from labcases.people.models import Practice
from labcases.planning.queries.basis import read_basis
from labcases.planning.queries.load import (
    Facts,
    Leg,
    Load,
    after_visit,
    facts_of,
    first_release,
    legs_of,
    load_of,
    with_plans,
)
from labcases.planning.scheduling.explaining import day_in_words
from labcases.planning.scheduling.promising import Promise, promise
from labcases.planning.scheduling.work import Job, Work

# Nobody plans further ahead; a year mistyped must not make the planner look through decades.
FURTHEST = datetime.timedelta(days=800)


@dataclass(frozen=True)
class Answer:
    """For one visit: the day wanted (or None), and what can be promised without making anything else later."""

    visit: StageKind
    wanted_on: datetime.date | None
    promise: Promise

    @property
    def is_possible(self) -> bool:
        return self.wanted_on is not None and self.promise.keeps(self.wanted_on)

    @property
    def words(self) -> str:
        first = self.promise.first_day
        if first is None:
            return self.promise.obstacle
        earliest = day_in_words(first)
        if self.wanted_on is None:
            return _("The first day that can be promised is {day}.").format(day=earliest)
        if self.is_possible:
            return _("Yes: the first possible day is {day}.").format(day=earliest)
        return _("Not by then: the first day that can be promised is {day}.").format(day=earliest)


def can_be_back(
    *,
    practice: Practice,
    kind: str,
    arches: str,
    starts_at: str,
    dates: Mapping[str, datetime.date | None],
    now: datetime.datetime,
) -> list[Answer]:
    """Promises for a case that is only being written: one for each visit that laboratory work comes before.

    A visit without a wanted day is taken to be on the first day that can be promised for it.
    """
    basis = read_basis(now=now)
    facts, load = facts_of(basis, now=now), load_of(basis, now=now)
    path = path_for(kind)
    kinds = path[path.index(StageKind(starts_at)) :] if starts_at in path else path
    location = Location.CLINIC if kinds[0].place == Place.CLINIC else Location.TO_LABORATORY
    arch_names = Arches(arches).each
    case: Any = SimpleNamespace(location=location, practice_id=practice.pk, arch_names=arch_names)
    return list(_answers(case, kinds, dates, facts, load))


def _answers(
    case: Any,
    kinds: Iterable[StageKind],
    dates: Mapping[str, datetime.date | None],
    facts: Facts,
    load: Load,
) -> Iterable[Answer]:
    release: datetime.datetime | None = first_release(case, facts)
    waiting: list[StageKind] = []
    problem, number = load.problem, 0
    for kind in kinds:
        if kind.place == Place.LABORATORY:
            waiting.append(kind)
            continue
        visit = dates.get(kind)
        if waiting and release is not None and release - facts.now < FURTHEST:
            number -= 1
            job = _job(number, waiting, case, facts, release)
            answer = Answer(kind, visit, promise(problem, job, load.transport_of(case)))
            yield answer
            # What comes later must leave room for what was just promised.
            problem = replace(problem, jobs=(*problem.jobs, job))
            visit = visit if answer.is_possible else answer.promise.first_day
        release, waiting = after_visit(visit, facts), []


def _job(number: int, kinds: list[StageKind], case: Any, facts: Facts, release: datetime.datetime) -> Job:
    works = tuple(
        Work(number * 100 - n, str(kind.label), facts.times[kind].skill, _pieces(kind, case, facts))
        for n, kind in enumerate(kinds)
    )
    return Job(number, "this case", works, release, None)


def _pieces(kind: StageKind, case: Any, facts: Facts) -> Any:
    return facts.times[kind].pieces(arches=len(case.arch_names))


def promises_for(case: Any, *, now: datetime.datetime) -> list[Answer]:
    """Promises for an open case's visits to come, as if it were placed after everything else."""
    basis = read_basis(now=now)
    facts, load = facts_of(basis, now=now), load_of(basis, now=now)
    ours = {key for key, leg in load.legs.items() if leg.case.pk == case.pk}
    others = replace(load.problem, jobs=tuple(job for job in load.problem.jobs if job.key not in ours))
    as_planned = ((one, stages) for one, stages in basis.cases if one.pk == case.pk)
    case, stages = next(as_planned, None) or (case, _open_stages(case))
    answers = []
    for leg in legs_of(case, stages, facts):
        if isinstance(leg, Leg) and leg.job.release - now < FURTHEST:
            visit = _visit_after(leg, stages)
            if visit is not None:
                answers.append(
                    Answer(visit, leg.wanted_on, promise(others, leg.job, load.transport_of(case)))
                )
    return answers


def _open_stages(case: Case) -> list[Stage]:
    return list(with_plans(Stage.objects.filter(case=case)).order_by("position"))


def _visit_after(leg: Leg, stages: Iterable[Any]) -> StageKind | None:
    last = leg.stages[-1].position
    later = [stage for stage in stages if stage.position > last and stage.place == Place.CLINIC]
    return StageKind(later[0].kind) if later else None
