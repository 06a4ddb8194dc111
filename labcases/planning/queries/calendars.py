"""When the laboratory and its people work, and when practices' work is collected."""

import datetime
from collections import defaultdict
from collections.abc import Iterable

from django.db.models import QuerySet
from django.utils import timezone

from labcases.people.models import Practice, User
from labcases.planning import models
from labcases.planning.working_time import (
    USUAL_WEEK,
    Absence,
    Opening,
    Transport,
    Week,
    WorkingCalendar,
)
from labcases.planning.working_time.openings import minute_of


def calendar_settings() -> models.LaboratoryCalendar:
    """The laboratory's calendar settings, or unsaved ones before anybody has set any."""
    return models.LaboratoryCalendar.objects.first() or models.LaboratoryCalendar(pk=1, version=0)


def laboratory_calendar() -> WorkingCalendar:
    """The laboratory's own calendar: its week, or the usual one, less its closed days."""
    rows = models.OpeningHours.objects.filter(person__isnull=True)
    week = _week(rows) or USUAL_WEEK
    closed = models.ClosedDay.objects.filter(worked=False).values_list("day", "reason")
    return WorkingCalendar(week, timezone.get_default_timezone(), dict(closed))


def calendars_of(people: Iterable[User], calendar: WorkingCalendar) -> dict[int, WorkingCalendar]:
    """Each person's calendar by id: own hours where there are any, less absences."""
    people = list(people)
    hours: dict[int, list[models.OpeningHours]] = defaultdict(list)
    for row in models.OpeningHours.objects.filter(person__in=people):
        hours[row.person_id].append(row)
    away: dict[int, list[Absence]] = defaultdict(list)
    for absence in models.Absence.objects.filter(person__in=people):
        away[absence.person_id].append(plain_absence(absence))
    return {
        person.pk: calendar.for_person(week=_week(hours[person.pk]), absences=away[person.pk])
        for person in people
    }


def plain_absence(row: models.Absence) -> Absence:
    hours = None
    if row.from_time is not None and row.until_time is not None:
        hours = Opening(minute_of(row.from_time), minute_of(row.until_time))
    return Absence(row.first_day, row.last_day, hours)


def laboratory_week() -> Week:
    return _week(models.OpeningHours.objects.filter(person__isnull=True)) or USUAL_WEEK


def own_week(person: User) -> Week | None:
    """A person's own hours; None for one who works the laboratory's."""
    return _week(models.OpeningHours.objects.filter(person=person))


def _week(rows: Iterable[models.OpeningHours]) -> Week | None:
    days: list[list[Opening]] = [[] for _ in range(7)]
    for row in rows:
        days[row.weekday].append(Opening.at(row.opens, row.closes))
    return Week(tuple(tuple(sorted(openings)) for openings in days)) if any(days) else None


def closed_days(since: datetime.date) -> QuerySet[models.ClosedDay]:
    return models.ClosedDay.objects.filter(day__gte=since)


def absences(since: datetime.date) -> QuerySet[models.Absence]:
    return models.Absence.objects.filter(last_day__gte=since).select_related("person")


def transports() -> dict[int, Transport]:
    """How each practice's work travels, by the practice's id; one without settings is not in it."""
    rows = models.Transport.objects.prefetch_related("collection_days")
    return {row.practice_id: plain_transport(row) for row in rows}


def transport_of(practice: Practice) -> Transport:
    row = models.Transport.objects.filter(practice=practice).prefetch_related("collection_days").first()
    return plain_transport(row) if row else Transport()


def transport_settings(practice: Practice) -> models.Transport:
    """A practice's stored settings, or unsaved ones before there are any."""
    found = models.Transport.objects.filter(practice=practice).prefetch_related("collection_days").first()
    return found or models.Transport(practice=practice, version=0)


def plain_transport(row: models.Transport) -> Transport:
    cut_offs = {day.weekday: minute_of(day.cut_off) for day in row.collection_days.all()}
    return Transport(cut_offs, row.transit_days)
