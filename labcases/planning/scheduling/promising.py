"""Forwards from today under present load: the earliest day that can be promised."""

import datetime
from dataclasses import dataclass, replace

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.greedy import due_order, steps_of
from labcases.planning.scheduling.placing import place_in_order
from labcases.planning.scheduling.plans import Placement, plan_of
from labcases.planning.scheduling.times import SKILLS
from labcases.planning.scheduling.work import Job, Problem, Work
from labcases.planning.working_time import Transport
from labcases.prosthodontics.wording import Words, in_a_sentence

GIVEN_TO_NOBODY_HERE = Words("{stage} is given to somebody who does not work in the laboratory any more.")
NOBODY_DOES_IT = Words("Nobody here does {skill}.")
NO_FREE_TIME = Words("{stage} finds no free time with {people} in the time looked at.")


@dataclass(frozen=True)
class Promise:
    """`ready` is when the work can be finished without making anything else later, `collection` when it goes
    out, `first_day` the first appointment for which it is back the evening before.

    All three are None if the work finds no place; `obstacle` then says why in words.
    """

    ready: datetime.datetime | None
    collection: datetime.datetime | None
    first_day: datetime.date | None
    placements: tuple[Placement, ...] = ()
    obstacle: str = ""

    def keeps(self, appointment: datetime.date) -> bool:
        return self.first_day is not None and self.first_day <= appointment


def promise(problem: Problem, job: Job, transport: Transport) -> Promise:
    """Place `job` after all the work there is already, wherever hands are still free."""
    whole = replace(problem, jobs=(*problem.jobs, replace(job, due=None)))
    bench = Bench(whole)
    before = steps_of(sorted(problem.jobs, key=due_order))
    plan = plan_of(place_in_order(bench, [*before, *steps_of([whole.jobs[-1]])]))
    ready = plan.ready(job)
    if ready is None:
        return Promise(None, None, None, obstacle=obstacle(problem, plan.stuck[job.key]))
    collection = transport.next_collection(ready, problem.calendar)
    first_day = transport.first_appointment(ready, problem.calendar)
    return Promise(ready, collection, first_day, plan.of(job))


def obstacle(problem: Problem, work: Work) -> str:
    """Why a work finds no place at all, in words."""
    able = [person for person in problem.people if person.may_do(work)]
    if not able and work.fixed_to is not None:
        return GIVEN_TO_NOBODY_HERE.of(stage=work.label)
    if not able:
        return NOBODY_DOES_IT.of(skill=in_a_sentence(SKILLS.get(work.skill, work.skill)))
    return NO_FREE_TIME.of(stage=work.label, people=", ".join(person.name for person in able))
