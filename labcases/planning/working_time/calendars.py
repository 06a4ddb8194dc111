"""Working days and working minutes of the laboratory or of one person.

Days are local dates, instants aware datetimes in any zone; results come in the calendar's own zone.
"""

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from labcases.planning.working_time.absences import Absence
from labcases.planning.working_time.errors import NoWorkingTime
from labcases.planning.working_time.instants import DAY, UTC, Span, spans_on
from labcases.planning.working_time.openings import Opening, Week
from labcases.prosthodontics.wording import Words, figure

# Further than any appointment is booked; a calendar without openings ends here instead of never.
FURTHEST = 800
NO_WORKING_DAY = Words("There is no working day within {days} days of {day}.")
NO_WORKING_TIME = Words("There is no working time within {days} days of {day}.")
NO_OPENING_SO_LONG = Words("No opening lasts {minutes} minutes.")
NOT_A_WORKING_DAY = Words("{day} is not a working day.")


@dataclass(frozen=True, eq=False)
class WorkingCalendar:
    """`closed` maps closed days to their reason; `absences` are those of the one person it belongs to."""

    week: Week
    zone: datetime.tzinfo
    closed: Mapping[datetime.date, str] = field(default_factory=dict)
    absences: tuple[Absence, ...] = ()
    _spans: dict[datetime.date, tuple[Span, ...]] = field(default_factory=dict, init=False, repr=False)

    def for_person(self, *, week: Week | None = None, absences: Iterable[Absence] = ()) -> "WorkingCalendar":
        """The same laboratory as one person works in it: own week if there is one, less the absences."""
        return replace(self, week=week or self.week, absences=tuple(absences))

    @property
    def times(self) -> tuple[object, ...]:
        """What its spans follow from: calendars of the same times have the same spans."""
        return self.week, self.zone, self.absences, frozenset(self.closed)

    # Days

    def openings_on(self, day: datetime.date) -> tuple[Opening, ...]:
        openings = () if day in self.closed else self.week.days[day.weekday()]
        for absence in self.absences:
            openings = absence.cut(day, openings)
        return openings

    def is_working_day(self, day: datetime.date) -> bool:
        return bool(self.openings_on(day))

    def minutes_on(self, day: datetime.date) -> int:
        """Working minutes as they really pass, on a day when the clocks change too."""
        return sum(int((end - start).total_seconds() // 60) for start, end in self.spans_on(day))

    def working_day(self, day: datetime.date, *, forward: bool = True) -> datetime.date:
        """`day` itself if it is a working day, else the next one, or the last one before."""
        return next(self._working_days(day, 1 if forward else -1))

    def shift(self, day: datetime.date, days: int) -> datetime.date:
        """`days` working days after `day`, or before it if negative; a day off first rolls the same way.

        Agrees with numpy.busday_offset with roll "forward" for days ≥ 0 and "backward" for days < 0.
        """
        following = self._working_days(day, 1 if days >= 0 else -1)
        for _ in range(abs(days)):
            next(following)
        return next(following)

    def working_days_between(self, first: datetime.date, last: datetime.date) -> int:
        """Working days from `first` up to, but not with, `last`; negative if `last` is earlier."""
        if last < first:
            return -self.working_days_between(last, first)
        return sum(self.is_working_day(first + DAY * n) for n in range((last - first).days))

    def next_days(self, day: datetime.date, count: int) -> tuple[datetime.date, ...]:
        """The next `count` working days, from and with `day`."""
        following = self._working_days(day, 1)
        return tuple(next(following) for _ in range(count))

    def _working_days(self, day: datetime.date, step: int) -> Iterator[datetime.date]:
        since = 0
        while since < FURTHEST:
            if self.is_working_day(day):
                yield day
                since = 0
            since += 1
            day += DAY * step
        raise NoWorkingTime(NO_WORKING_DAY.of(days=FURTHEST, day=day - DAY * step * since))

    # Minutes

    def local(self, instant: datetime.datetime) -> datetime.datetime:
        return instant.astimezone(self.zone)

    def day_of(self, instant: datetime.datetime) -> datetime.date:
        return self.local(instant).date()

    def spans_on(self, day: datetime.date) -> tuple[Span, ...]:
        """The spans of a day in which work is done, as instants in UTC."""
        found = self._spans.get(day)
        if found is None:
            found = self._spans[day] = spans_on(day, self.openings_on(day), self.zone)
        return found

    def spans_from(self, instant: datetime.datetime, until: datetime.datetime) -> Iterator[Span]:
        """Working spans that lie in [instant, until), cut to it."""
        instant, until = instant.astimezone(UTC), until.astimezone(UTC)
        day, last = self.day_of(instant) - DAY, self.day_of(until) + DAY
        while day <= last:
            for start, end in self.spans_on(day):
                if start < until and end > instant:
                    yield max(start, instant), min(end, until)
            day += DAY

    def minutes_between(self, start: datetime.datetime, end: datetime.datetime) -> float:
        """Working minutes from `start` to `end`; negative if `end` is earlier."""
        # By UTC: dates of one zone are compared by their clocks, and those show an hour of autumn twice.
        start, end = start.astimezone(UTC), end.astimezone(UTC)
        if end < start:
            return -self.minutes_between(end, start)
        return sum((e - s).total_seconds() for s, e in self.spans_from(start, end)) / 60

    def add_minutes(self, instant: datetime.datetime, minutes: float) -> datetime.datetime:
        """The first instant by which `minutes` (≥ 0) of work can be done from `instant` on."""
        left = datetime.timedelta(minutes=minutes)
        if not left:
            return self.local(instant)
        for start, end in self._spans_forward(instant.astimezone(UTC)):
            if left <= end - start:
                return self.local(start + left)
            left -= end - start
        raise self._none_near(instant)

    def take_minutes(self, instant: datetime.datetime, minutes: float) -> datetime.datetime:
        """The last instant from which `minutes` (≥ 0) of work can still be done by `instant`."""
        left = datetime.timedelta(minutes=minutes)
        if not left:
            return self.local(instant)
        for start, end in self._spans_backward(instant.astimezone(UTC)):
            if left <= end - start:
                return self.local(end - left)
            left -= end - start
        raise self._none_near(instant)

    def take_in_one_go(self, instant: datetime.datetime, minutes: float) -> datetime.datetime:
        """Like take_minutes, for work that cannot rest over a break."""
        earliest = instant.astimezone(UTC) - DAY * FURTHEST
        for start, end in self._spans_backward(instant.astimezone(UTC)):
            if end - start >= datetime.timedelta(minutes=minutes):
                return self.local(end - datetime.timedelta(minutes=minutes))
            if start < earliest:
                break
        raise NoWorkingTime(NO_OPENING_SO_LONG.of(minutes=figure(f"{minutes:g}")))

    def next_open(self, instant: datetime.datetime) -> datetime.datetime:
        """The instant itself if work is being done then, else the next opening."""
        for start, _ in self._spans_forward(instant.astimezone(UTC)):
            return self.local(start)
        raise self._none_near(instant)

    def closing_on(self, day: datetime.date) -> datetime.datetime:
        """When the last opening of a working day ends."""
        spans = self.spans_on(day)
        if not spans:
            raise NoWorkingTime(NOT_A_WORKING_DAY.of(day=day))
        return self.local(spans[-1][1])

    def opening_on(self, day: datetime.date) -> datetime.datetime:
        spans = self.spans_on(day)
        if not spans:
            raise NoWorkingTime(NOT_A_WORKING_DAY.of(day=day))
        return self.local(spans[0][0])

    def _spans_forward(self, instant: datetime.datetime) -> Iterator[Span]:
        day, idle = self.day_of(instant) - DAY, 0
        while idle < FURTHEST:
            idle += 1
            for start, end in self.spans_on(day):
                if end > instant:
                    idle = 0
                    yield max(start, instant), end
            day += DAY

    def _spans_backward(self, instant: datetime.datetime) -> Iterator[Span]:
        day, idle = self.day_of(instant) + DAY, 0
        while idle < FURTHEST:
            idle += 1
            for start, end in reversed(self.spans_on(day)):
                if start < instant:
                    idle = 0
                    yield start, min(end, instant)
            day -= DAY

    def _none_near(self, instant: datetime.datetime) -> NoWorkingTime:
        return NoWorkingTime(NO_WORKING_TIME.of(days=FURTHEST, day=self.day_of(instant)))
