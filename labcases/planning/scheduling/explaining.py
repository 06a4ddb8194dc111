"""Why a plan is as it is: for each job the slack, and for a late one which resource is short."""

import datetime
from dataclasses import dataclass
from enum import StrEnum

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.placing import place_alone
from labcases.planning.scheduling.plans import Plan
from labcases.planning.scheduling.promising import obstacle
from labcases.planning.scheduling.times import SKILLS
from labcases.planning.scheduling.work import Job, Problem


class Cause(StrEnum):
    NONE = "in time"
    NO_DATE = "no date"
    TIME = "too little time"
    HANDS = "too few hands"
    NOBODY = "nobody"


@dataclass(frozen=True)
class Explanation:
    """`slack` is in working minutes between ready and due (negative if late), None without a due time.

    `skill` names what is short when hands are; `words` are one or two sentences for people.
    """

    job: Job
    ready: datetime.datetime | None
    slack: float | None
    late_days: int
    cause: Cause
    skill: str
    words: str


def explain(plan: Plan) -> tuple[Explanation, ...]:
    bench = Bench(plan.problem)
    return tuple(_explain(plan, job, bench) for job in plan.problem.jobs)


def _explain(plan: Plan, job: Job, bench: Bench) -> Explanation:
    ready = plan.ready(job)
    if ready is None:
        work = plan.stuck[job.key]
        words = obstacle(plan.problem, work)
        return Explanation(job, None, None, 0, Cause.NOBODY, work.skill, words)
    if job.due is None:
        return Explanation(
            job, ready, None, 0, Cause.NO_DATE, "", "No day is set on which it is wanted back."
        )
    slack = plan.problem.calendar.minutes_between(ready, job.due)
    late = plan.late[job.key]
    if not late:
        return Explanation(job, ready, slack, 0, Cause.NONE, "", f"Ready {hours(slack)} before collection.")
    alone = place_alone(bench, job)
    if job.key not in alone.stuck and bench.late_days(job, alone.ends[job.key]):
        words = _too_late_from_the_start(job, bench.instant(alone.ends[job.key]))
        return Explanation(job, ready, slack, late, Cause.TIME, "", words)
    skill, waited = _longest_queue(plan, job)
    return Explanation(
        job, ready, slack, late, Cause.HANDS, skill, _short_of(plan.problem, job, skill, waited)
    )


def _too_late_from_the_start(job: Job, ready: datetime.datetime) -> str:
    return (
        f"Even with all hands free it could not be ready before {moment(ready)}: "
        f"it needs {hours(job.minutes)} of work, and its waits."
    )


def _longest_queue(plan: Plan, job: Job) -> tuple[str, float]:
    """The skill that the job waits for longest, and for how many working minutes."""
    calendar = plan.problem.calendar
    ready = max(job.release, plan.problem.now)
    queues: dict[str, float] = {}
    for placement in plan.of(job):
        for piece, (start, end) in zip(placement.work.pieces, placement.spans, strict=True):
            waited = max(0.0, calendar.minutes_between(ready, start))
            skill = placement.work.skill
            queues[skill] = queues.get(skill, 0.0) + waited
            ready = end.astimezone(datetime.UTC) + datetime.timedelta(minutes=piece.wait_after)
    return max(queues.items(), key=lambda queue: queue[1])


def _short_of(problem: Problem, job: Job, skill: str, waited: float) -> str:
    assert job.due is not None
    people = [person for person in problem.people if person.has(skill)]
    until = max(job.due, problem.now)
    there = sum(person.calendar.minutes_between(problem.now, until) for person in people)
    asked = sum(
        work.minutes
        for other in problem.jobs
        if other.due and other.due <= job.due
        for work in other.works
        if work.skill == skill
    )
    name = SKILLS.get(skill, skill)
    text = f"Waits {hours(waited)} for {name.lower()}: {hours(asked)} of it are due by {moment(job.due)}, "
    text += f"{_people(len(people))} who can do it {'has' if len(people) == 1 else 'have'} {hours(there)} until then"
    return text + (" and other work to do as well." if asked <= there else ".")


def _people(count: int) -> str:
    return "the one person" if count == 1 else f"the {count} people"


def hours(minutes: float) -> str:
    return f"{minutes / 60:.1f} h"


def moment(instant: datetime.datetime) -> str:
    return f"{instant:%a} {instant.day} {instant:%b %H:%M}"
