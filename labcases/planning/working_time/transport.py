"""When a practice's work is collected at the laboratory, and what that means for an appointment."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field

from labcases.planning.working_time.calendars import FURTHEST, WorkingCalendar
from labcases.planning.working_time.errors import NoWorkingTime
from labcases.planning.working_time.instants import DAY, spans_on
from labcases.planning.working_time.openings import MINUTES_PER_DAY, Opening
from labcases.prosthodontics.wording import Words

NONE_BEFORE = Words("Nothing is collected for this practice before {day}.")
NONE_AFTER = Words("Nothing is collected for this practice after {day}.")


@dataclass(frozen=True)
class Transport:
    """`cut_offs` maps a weekday (Monday is 0) to the minute of the day when work must be ready.

    Without any, work goes out every working day at closing time. `transit_days` is how many working days it
    is on its way: 0 means that it arrives on the day of its collection.
    """

    cut_offs: Mapping[int, int] = field(default_factory=dict)
    transit_days: int = 0

    def collection_on(self, day: datetime.date, calendar: WorkingCalendar) -> datetime.datetime | None:
        """When work must be ready to go out on `day`; None if nothing goes out."""
        # A working day has no minute if its one opening lies in the hour that the clock skips.
        if not calendar.spans_on(day):
            return None
        closing = calendar.closing_on(day)
        if not self.cut_offs:
            return closing
        minute = self.cut_offs.get(day.weekday())
        return None if minute is None else min(closing, _instant(day, minute, calendar))

    def last_collection_for(self, appointment: datetime.date, calendar: WorkingCalendar) -> datetime.datetime:
        """The last collection that has the work at the practice the evening before the appointment."""
        day = appointment - DAY
        for _ in range(FURTHEST):
            ready = self.collection_on(day, calendar)
            if ready and self.arrival_of(ready, calendar) < appointment:
                return ready
            day -= DAY
        raise NoWorkingTime(NONE_BEFORE.of(day=appointment))

    def next_collection(self, instant: datetime.datetime, calendar: WorkingCalendar) -> datetime.datetime:
        """The first collection that work ready at `instant` can go with."""
        day = calendar.day_of(instant)
        for _ in range(FURTHEST):
            ready = self.collection_on(day, calendar)
            if ready and ready >= instant:
                return ready
            day += DAY
        raise NoWorkingTime(NONE_AFTER.of(day=calendar.day_of(instant)))

    def arrival_of(self, collection: datetime.datetime, calendar: WorkingCalendar) -> datetime.date:
        return calendar.shift(calendar.day_of(collection), self.transit_days)

    def first_appointment(self, ready: datetime.datetime, calendar: WorkingCalendar) -> datetime.date:
        """The first working day for which work ready at `ready` is back the evening before."""
        arrival = self.arrival_of(self.next_collection(ready, calendar), calendar)
        return calendar.working_day(arrival + DAY)


def _instant(day: datetime.date, minute: int, calendar: WorkingCalendar) -> datetime.datetime:
    """When the wall clock first shows `minute`, or, if it skips that minute, the first time after it."""
    for late in (minute, *range(minute + 60, MINUTES_PER_DAY, 60)):
        spans = spans_on(day, (Opening(late, MINUTES_PER_DAY),), calendar.zone)
        if spans:
            return calendar.local(spans[0][0])
    return calendar.closing_on(day)
