"""What is to be planned: work, the jobs it belongs to, the people who can do it."""

import datetime
from dataclasses import dataclass
from functools import cached_property

from labcases.planning.working_time import WorkingCalendar

# A piece this short is done in one go (a cast cannot be half poured); a longer one may rest over a break.
LONGEST_IN_ONE_GO = 90


@dataclass(frozen=True)
class Piece:
    """`minutes` of one person's hands, then `wait_after` minutes by the clock that need no hands."""

    minutes: int
    wait_after: int = 0

    @property
    def may_rest(self) -> bool:
        return self.minutes > LONGEST_IN_ONE_GO


@dataclass(frozen=True)
class Work:
    """One stage of one case; all its pieces are done by the same person.

    `fixed_to` keeps it with a person, `not_before` keeps it from starting earlier, and `begun` work goes
    before all that has not begun.
    """

    key: int
    label: str
    skill: str
    pieces: tuple[Piece, ...]
    fixed_to: int | None = None
    not_before: datetime.datetime | None = None
    begun: bool = False

    @property
    def minutes(self) -> int:
        return sum(piece.minutes for piece in self.pieces)


@dataclass(frozen=True)
class Job:
    """Laboratory stages of one case that follow each other until it goes back to the clinic.

    `release` is when work can begin, `due` when it must be ready for collection; `weight` is how bad a
    working day of lateness is, 1 being usual.
    """

    key: int
    label: str
    works: tuple[Work, ...]
    release: datetime.datetime
    due: datetime.datetime | None
    weight: int = 1

    @property
    def minutes(self) -> int:
        return sum(work.minutes for work in self.works)


@dataclass(frozen=True)
class Person:
    """`skills` None means every skill."""

    key: int
    name: str
    calendar: WorkingCalendar
    skills: frozenset[str] | None = None

    def has(self, skill: str) -> bool:
        return self.skills is None or skill in self.skills

    def may_do(self, work: Work) -> bool:
        """Work fixed to a person stays there, skill or not: somebody decided it."""
        return work.fixed_to == self.key if work.fixed_to is not None else self.has(work.skill)


@dataclass(frozen=True)
class Problem:
    """`calendar` is the laboratory's own; the plan is for `days` working days from `now` on."""

    jobs: tuple[Job, ...]
    people: tuple[Person, ...]
    calendar: WorkingCalendar
    now: datetime.datetime
    days: int = 10

    @cached_property
    def planned_days(self) -> tuple[datetime.date, ...]:
        return self.calendar.next_days(self.calendar.day_of(self.now), self.days)

    @cached_property
    def horizon(self) -> datetime.datetime:
        """The end of the last day planned for."""
        spans = [span for day in self.planned_days for span in self.calendar.spans_on(day)]
        return spans[-1][1] if spans else self.now
