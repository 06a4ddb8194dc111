"""A plan: who does which work when, and how late what becomes."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from labcases.planning.scheduling.placing import Draft
from labcases.planning.scheduling.work import Job, Problem, Work

Span = tuple[datetime.datetime, datetime.datetime]


@dataclass(frozen=True)
class Placement:
    """`spans` are the pieces' (start, end); between them, and over breaks within one, no hands are needed."""

    job: Job
    work: Work
    person: int
    spans: tuple[Span, ...]

    @property
    def start(self) -> datetime.datetime:
        return self.spans[0][0]

    @property
    def end(self) -> datetime.datetime:
        """When hands leave it for the last time."""
        return self.spans[-1][1]

    @property
    def ready(self) -> datetime.datetime:
        """When its last wait is over too."""
        wait = datetime.timedelta(minutes=self.work.pieces[-1].wait_after)
        return (self.end.astimezone(datetime.UTC) + wait).astimezone(self.end.tzinfo)


@dataclass(frozen=True)
class Plan:
    """`late` maps every job that is placed whole to its working days of lateness, `stuck` the others to the
    work that finds no place; `cost` is the sum of weight times days late."""

    problem: Problem
    placements: Mapping[int, Placement]
    late: Mapping[int, int]
    stuck: Mapping[int, Work]
    cost: int

    def of(self, job: Job) -> tuple[Placement, ...]:
        """The placements of a job, as far as they go."""
        return tuple(self.placements[work.key] for work in job.works if work.key in self.placements)

    def ready(self, job: Job) -> datetime.datetime | None:
        """When the job is ready for collection; None if it is stuck."""
        return None if job.key in self.stuck else self.placements[job.works[-1].key].ready

    def given_to(self, person: int) -> tuple[Placement, ...]:
        mine = (placement for placement in self.placements.values() if placement.person == person)
        # By UTC: dates of one zone are compared by their clocks, and those show an hour of autumn twice.
        return tuple(
            sorted(mine, key=lambda placement: (placement.start.astimezone(datetime.UTC), placement.work.key))
        )


def plan_of(draft: Draft) -> Plan:
    bench = draft.bench
    placements = {}
    for job in bench.problem.jobs:
        for work in job.works:
            if work.key in draft.placed:
                person, spans = draft.placed[work.key]
                instants = tuple((bench.instant(start), bench.instant(end)) for start, end in spans)
                placements[work.key] = Placement(job, work, person, instants)
    late = {
        job.key: bench.late_days(job, draft.ends[job.key])
        for job in bench.problem.jobs
        if job.key not in draft.stuck
    }
    return Plan(bench.problem, placements, late, dict(draft.stuck), draft.cost)
