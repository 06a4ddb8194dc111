"""The plan that is there at once: begun and fixed work first, then what is due earliest."""

import datetime
from collections.abc import Iterable

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.placing import Draft, Step, place_in_order
from labcases.planning.scheduling.plans import Plan, plan_of
from labcases.planning.scheduling.work import Job, Problem

NEVER = datetime.datetime.max.replace(tzinfo=datetime.UTC)


def earliest_due_first(problem: Problem) -> Plan:
    """Always feasible, whatever the load: what does not fit in time is late, and it says by how much."""
    return plan_of(greedy_draft(Bench(problem)))


def greedy_draft(bench: Bench) -> Draft:
    return place_in_order(bench, steps_of(sorted(bench.problem.jobs, key=due_order)))


def due_order(job: Job) -> tuple[int, datetime.datetime, int, datetime.datetime, int]:
    return (_precedence(job), job.due or NEVER, -job.weight, job.release, job.key)


def steps_of(jobs: Iterable[Job]) -> list[Step]:
    return [(job, work) for job in jobs for work in job.works]


def _precedence(job: Job) -> int:
    """Begun work holds its place; then what a manager fixed to a day; then the rest."""
    if any(work.begun for work in job.works):
        return 0
    return 1 if any(work.not_before and work.fixed_to is not None for work in job.works) else 2
