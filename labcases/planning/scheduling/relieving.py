"""When there is more work than time: what to move to a later day, refuse or give to another laboratory."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.greedy import due_order, steps_of
from labcases.planning.scheduling.placing import Draft, place_in_order
from labcases.planning.scheduling.plans import Plan
from labcases.planning.scheduling.work import Job

MOST = 60  # jobs to let go of; a laboratory with more than that has another problem than its plan


@dataclass(frozen=True)
class Relief:
    """Without the jobs `let_go` the rest costs `cost` weighted days; `minutes` is their work by skill."""

    let_go: tuple[Job, ...]
    cost: int
    minutes: Mapping[str, int]


def relieve(plan: Plan) -> Relief:
    """One way to have the rest in time: let go, one by one, of the late job whose lateness weighs least for
    the work it takes, until nothing is late any more."""
    let_go: list[Job] = []
    jobs = _in_plan_order(plan)
    draft = _best(plan, jobs)
    while len(let_go) < MOST:
        bench = draft.bench
        late = [job for job in jobs if _is_late(draft, job)]
        if not late:
            break
        worst = min(
            late, key=lambda job: (job.weight / job.minutes, -bench.late_days(job, draft.ends[job.key]))
        )
        let_go.append(worst)
        jobs = [job for job in jobs if job.key != worst.key]
        draft = _best(plan, jobs)
    minutes: dict[str, int] = {}
    for job in let_go:
        for work in job.works:
            minutes[work.skill] = minutes.get(work.skill, 0) + work.minutes
    return Relief(tuple(let_go), draft.cost, minutes)


def _in_plan_order(plan: Plan) -> list[Job]:
    jobs = [job for job in plan.problem.jobs if job.key not in plan.stuck]
    return sorted(jobs, key=lambda job: (plan.placements[job.works[0].key].start, job.key))


def _best(plan: Plan, jobs: list[Job]) -> Draft:
    bench = Bench(replace(plan.problem, jobs=tuple(jobs)))
    orders = (jobs, sorted(jobs, key=due_order))
    return min((place_in_order(bench, steps_of(order)) for order in orders), key=lambda d: d.standing)


def _is_late(draft: Draft, job: Job) -> bool:
    return job.key not in draft.stuck and draft.bench.late_days(job, draft.ends[job.key]) > 0
