"""A planning problem made ready for placing work again and again: everybody's time in whole minutes."""

import datetime
from bisect import bisect_left, bisect_right
from functools import cached_property

from labcases.planning.scheduling.timeline import Axis
from labcases.planning.scheduling.work import Job, Person, Problem, Work
from labcases.planning.working_time import WorkingCalendar

# How far beyond the planned days work may spill before it counts as not to be placed.
SPILL = datetime.timedelta(days=75)


class Bench:
    """Times are whole minutes since the origin, the first whole minute from `problem.now` on."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.origin = _whole_minute(problem.now)
        latest = max((job.release for job in problem.jobs), default=problem.now)
        self.reach = max(problem.horizon, latest) + SPILL
        self.axes = self._axes()
        self.people = {person.key: person for person in problem.people}
        self._able: dict[tuple[int | None, str], tuple[int, ...]] = {}
        self.candidates = {work.key: self._candidates(work) for job in problem.jobs for work in job.works}
        self.releases = {job.key: max(0, self.minute(job.release)) for job in problem.jobs}
        self._dues = {job.key: None if job.due is None else self.whole(job.due) for job in problem.jobs}
        self._lines: dict[datetime.time, list[int]] = {}

    def minute(self, instant: datetime.datetime) -> int:
        """Rounded up: work never begins before it may."""
        return -int((self.origin - instant).total_seconds() // 60)

    def whole(self, instant: datetime.datetime) -> int:
        """Rounded down: what must be ready by then is ready by the last whole minute."""
        return int((instant - self.origin).total_seconds() // 60)

    def instant(self, minute: int) -> datetime.datetime:
        return self.problem.calendar.local(self.origin + datetime.timedelta(minutes=minute))

    def late_days(self, job: Job, end: int) -> int:
        """By how many working days `end` misses the job's due time (same time of day each day)."""
        due = self._dues[job.key]
        if due is None or end <= due or job.due is None:
            return 0
        local = self.problem.calendar.local(job.due)
        line = self._lines.get(local.time())
        if line is None:
            line = self._lines[local.time()] = self._deadlines(local.time())
        first = bisect_right(self.working_days, local.date())
        return max(1, bisect_left(line, end) - first + 1)

    @cached_property
    def working_days(self) -> list[datetime.date]:
        """The laboratory's working days from the earliest due day until past all that can be placed."""
        calendar = self.problem.calendar
        dues = [calendar.day_of(job.due) for job in self.problem.jobs if job.due]
        day = min([calendar.day_of(self.problem.now), *dues])
        last = calendar.day_of(self.reach) + datetime.timedelta(days=15)
        every = (day + datetime.timedelta(days=n) for n in range((last - day).days))
        return [day for day in every if calendar.is_working_day(day)]

    def _deadlines(self, time: datetime.time) -> list[int]:
        zone = self.problem.calendar.zone
        return [self.whole(datetime.datetime.combine(day, time, zone)) for day in self.working_days]

    def _axes(self) -> dict[int, Axis]:
        """By person; most people work the laboratory's hours, and those of the same times share one axis."""
        made: dict[tuple[object, ...], Axis] = {}
        found = {}
        for person in self.problem.people:
            times = person.calendar.times
            if times not in made:
                made[times] = Axis(self._spans(person.calendar))
            found[person.key] = made[times]
        return found

    def _spans(self, calendar: WorkingCalendar) -> list[tuple[int, int]]:
        spans = (
            (self.minute(start), self.whole(end))
            for start, end in calendar.spans_from(self.origin, self.reach)
        )
        return [(start, end) for start, end in spans if start < end]

    def _candidates(self, work: Work) -> tuple[int, ...]:
        """Who may do it, people of few skills first: the versatile are kept for what only they can do."""
        asked = (work.fixed_to, work.skill if work.fixed_to is None else "")
        if asked not in self._able:
            able = [person for person in self.problem.people if person.may_do(work)]
            self._able[asked] = tuple(person.key for person in sorted(able, key=_versatility))
        return self._able[asked]


def _whole_minute(instant: datetime.datetime) -> datetime.datetime:
    instant = instant.astimezone(datetime.UTC)
    floor = instant.replace(second=0, microsecond=0)
    return floor if floor == instant else floor + datetime.timedelta(minutes=1)


def _versatility(person: Person) -> tuple[int, int]:
    return (len(person.skills) if person.skills is not None else 99, person.key)
