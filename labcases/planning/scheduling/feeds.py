"""Calendar feeds as iCalendar text (RFC 5545): what a calendar program subscribes to. Codes only, no names."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

PRODUCT = "-//labcases//calendar feed//EN"
# How often a program is asked to look again.
REFRESH = datetime.timedelta(hours=1)


@dataclass(frozen=True)
class Entry:
    """One entry: `start` and `end` are aware datetimes, or dates for whole days (`end` is then not in it).

    `uid` stays the same while the entry means the same thing, so that a moved one is moved, not doubled.
    """

    uid: str
    summary: str
    start: datetime.datetime | datetime.date
    end: datetime.datetime | datetime.date
    description: str = ""
    busy: bool = False


def calendar_text(name: str, entries: Iterable[Entry], *, now: datetime.datetime) -> bytes:
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", REFRESH, parameters={"value": "DURATION"})
    calendar.add("x-published-ttl", "PT1H")
    for entry in entries:
        calendar.add_component(_event(entry, now))
    return bytes(calendar.to_ical())


def _event(entry: Entry, now: datetime.datetime) -> Any:
    from icalendar import Event

    event = Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", now.astimezone(datetime.UTC))
    event.add("summary", entry.summary)
    event.add("dtstart", _moment(entry.start))
    event.add("dtend", _moment(entry.end))
    if entry.description:
        event.add("description", entry.description)
    event.add("transp", "OPAQUE" if entry.busy else "TRANSPARENT")
    event.add("class", "PRIVATE")
    return event


def _moment(value: datetime.datetime | datetime.date) -> datetime.datetime | datetime.date:
    """Instants in UTC, which every program reads alike and which need no description of a time zone."""
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC)
    return value
