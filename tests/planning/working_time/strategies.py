"""Random weeks, calendars, zones and instants."""

import datetime
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from labcases.planning.working_time import Absence, Opening, Week, WorkingCalendar

# Summer time on both hemispheres, half an hour of it, changes at midnight, and both ends of the world.
ZONES = (
    "Europe/London",
    "Europe/Berlin",
    "America/New_York",
    "America/Havana",
    "America/Santiago",
    "Australia/Lord_Howe",
    "Asia/Beirut",
    "Asia/Kathmandu",
    "Pacific/Kiritimati",
    "Pacific/Pago_Pago",
    "UTC",
)

# Days at which a calendar goes wrong if it goes wrong anywhere.
EDGES = (
    datetime.date(2026, 3, 29),
    datetime.date(2026, 10, 25),
    datetime.date(2026, 3, 8),
    datetime.date(2026, 11, 1),
    datetime.date(2027, 4, 4),
    datetime.date(2026, 9, 6),
    datetime.date(2027, 1, 1),
    datetime.date(2028, 2, 29),
    datetime.date(2100, 2, 28),
)


@st.composite
def days(draw: st.DrawFn) -> datetime.date:
    if draw(st.booleans()):
        return draw(st.sampled_from(EDGES)) + datetime.timedelta(days=draw(st.integers(-3, 3)))
    return draw(st.dates(datetime.date(2024, 1, 1), datetime.date(2036, 12, 31)))


@st.composite
def openings(draw: st.DrawFn) -> tuple[Opening, ...]:
    marks = sorted(draw(st.sets(st.integers(0, 96), max_size=6)))
    pairs = zip(marks[::2], marks[1::2], strict=False)
    return tuple(Opening(start * 15, end * 15) for start, end in pairs)


@st.composite
def weeks(draw: st.DrawFn) -> Week:
    found = [draw(openings()) for _ in range(7)]
    if not any(found):
        found[draw(st.integers(0, 6))] = (Opening(480, 960),)
    return Week(tuple(found))


@st.composite
def calendars(draw: st.DrawFn) -> WorkingCalendar:
    near = draw(days())
    closed = {near + datetime.timedelta(days=n): "closed" for n in draw(st.sets(st.integers(-9, 9)))}
    absences = []
    if draw(st.booleans()):
        first = near + datetime.timedelta(days=draw(st.integers(-5, 5)))
        hours = draw(st.sampled_from((None, Opening(0, 600), Opening(600, 1440))))
        absences.append(Absence(first, first + datetime.timedelta(days=draw(st.integers(0, 4))), hours))
    zone = ZoneInfo(draw(st.sampled_from(ZONES)))
    return WorkingCalendar(draw(weeks()), zone, closed, tuple(absences))


@st.composite
def instants(draw: st.DrawFn, calendar: WorkingCalendar) -> datetime.datetime:
    near = draw(st.sampled_from(sorted(calendar.closed)) if calendar.closed else days())
    midnight = datetime.datetime.combine(near, datetime.time(), datetime.UTC)
    return midnight + datetime.timedelta(minutes=draw(st.integers(-2000, 3500)))


def minutes_by_sampling(calendar: WorkingCalendar, start: datetime.datetime, end: datetime.datetime) -> int:
    """Working minutes counted one by one on the wall clock: slow, and right without any arithmetic."""
    count = 0
    instant = start.astimezone(datetime.UTC)
    while instant < end:
        local = instant.astimezone(calendar.zone)
        minute = local.hour * 60 + local.minute
        count += any(o.start <= minute < o.end for o in calendar.openings_on(local.date()))
        instant += datetime.timedelta(minutes=1)
    return count
