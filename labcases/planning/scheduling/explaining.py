"""Why a plan is as it is: for each job the slack, and for a late one which resource is short."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from functools import partial

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.placing import place_alone
from labcases.planning.scheduling.plans import Plan
from labcases.planning.scheduling.promising import obstacle
from labcases.planning.scheduling.times import SKILLS
from labcases.planning.scheduling.work import Job, Problem
from labcases.prosthodontics.wording import Words, figure, in_a_sentence

WEEKDAYS = (
    *(Words("Mon"), Words("Tue"), Words("Wed"), Words("Thu"), Words("Fri")),
    *(Words("Sat"), Words("Sun")),
)
MONTHS = (
    *(Words("Jan"), Words("Feb"), Words("Mar"), Words("Apr"), Words("May"), Words("Jun")),
    *(Words("Jul"), Words("Aug"), Words("Sep"), Words("Oct"), Words("Nov"), Words("Dec")),
)
NO_DAY_SET = Words("No day is set on which it is wanted back.")
IN_TIME = Words("Ready {hours} before collection.")
TOO_LATE_FROM_THE_START = Words(
    "Even with all hands free it could not be ready before {ready}: it needs {hours} of work, and its waits."
)
# By whether one person can do it, and whether what is asked would fit if there were nothing else to do.
SHORT_OF = {
    (True, False): Words(
        "Waits {waited} for {skill}: {asked} of it are due by {due}, "
        "the one person who can do it has {there} until then."
    ),
    (True, True): Words(
        "Waits {waited} for {skill}: {asked} of it are due by {due}, "
        "the one person who can do it has {there} until then and other work to do as well."
    ),
    (False, False): Words(
        "Waits {waited} for {skill}: {asked} of it are due by {due}, "
        "the {count} people who can do it have {there} until then."
    ),
    (False, True): Words(
        "Waits {waited} for {skill}: {asked} of it are due by {due}, "
        "the {count} people who can do it have {there} until then and other work to do as well."
    ),
}


class Cause(StrEnum):
    NONE = "in time"
    NO_DATE = "no date"
    TIME = "too little time"
    HANDS = "too few hands"
    NOBODY = "nobody"


@dataclass(frozen=True)
class Explanation:
    """`slack` is in working minutes between ready and due (negative if late), None without a due time.

    `skill` names what is short when hands are; `words` are one or two sentences for people, said anew in the
    language of each of them, for one plan is kept for all.
    """

    job: Job
    ready: datetime.datetime | None
    slack: float | None
    late_days: int
    cause: Cause
    skill: str
    say: Callable[[], str] = field(compare=False, repr=False)

    @property
    def words(self) -> str:
        return self.say()


def explain(plan: Plan) -> tuple[Explanation, ...]:
    bench = Bench(plan.problem)
    return tuple(_explain(plan, job, bench) for job in plan.problem.jobs)


def _explain(plan: Plan, job: Job, bench: Bench) -> Explanation:
    ready = plan.ready(job)
    if ready is None:
        work = plan.stuck[job.key]
        return Explanation(
            job, None, None, 0, Cause.NOBODY, work.skill, partial(obstacle, plan.problem, work)
        )
    if job.due is None:
        return Explanation(job, ready, None, 0, Cause.NO_DATE, "", NO_DAY_SET.of)
    slack = plan.problem.calendar.minutes_between(ready, job.due)
    late = plan.late[job.key]
    if not late:
        return Explanation(job, ready, slack, 0, Cause.NONE, "", partial(_in_time, slack))
    alone = place_alone(bench, job)
    if job.key not in alone.stuck and bench.late_days(job, alone.ends[job.key]):
        say = partial(_too_late_from_the_start, job, bench.instant(alone.ends[job.key]))
        return Explanation(job, ready, slack, late, Cause.TIME, "", say)
    skill, waited = _longest_queue(plan, job)
    return Explanation(
        job, ready, slack, late, Cause.HANDS, skill, _short_of(plan.problem, job, skill, waited)
    )


def _in_time(slack: float) -> str:
    return IN_TIME.of(hours=hours(slack))


def _too_late_from_the_start(job: Job, ready: datetime.datetime) -> str:
    return TOO_LATE_FROM_THE_START.of(ready=moment(ready), hours=hours(job.minutes))


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


def _short_of(problem: Problem, job: Job, skill: str, waited: float) -> Callable[[], str]:
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
    return partial(_hands_are_short, skill, waited, asked, there, len(people), job.due)


def _hands_are_short(
    skill: str, waited: float, asked: float, there: float, count: int, due: datetime.datetime
) -> str:
    return SHORT_OF[count == 1, asked <= there].of(
        waited=hours(waited),
        skill=in_a_sentence(SKILLS.get(skill, skill)),
        asked=hours(asked),
        due=moment(due),
        count=count,
        there=hours(there),
    )


def hours(minutes: float) -> str:
    return figure(f"{minutes / 60:.1f} h")


def day_in_words(day: datetime.date) -> str:
    """A day as people say it: "Mon 23 Mar"."""
    return Words("{weekday} {day} {month}").of(
        weekday=WEEKDAYS[day.weekday()], day=day.day, month=MONTHS[day.month - 1]
    )


def moment(instant: datetime.datetime) -> str:
    return f"{day_in_words(instant)} {instant:%H:%M}"
