"""When the laboratory and its people work, and when practices' work is collected."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping

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


Hours = Mapping[int | None, Week]


def read_hours() -> Hours:
    """The weeks that are stored, by person's id; None is the laboratory's own."""
    rows: dict[int | None, list[models.OpeningHours]] = defaultdict(list)
    for row in models.OpeningHours.objects.all():
        rows[row.person_id].append(row)
    found = {person: _week(openings) for person, openings in rows.items()}
    return {person: week for person, week in found.items() if week is not None}


def laboratory_calendar(hours: Hours | None = None) -> WorkingCalendar:
    """The laboratory's own calendar: its week, or the usual one, less its closed days."""
    hours = read_hours() if hours is None else hours
    return WorkingCalendar(hours.get(None, USUAL_WEEK), timezone.get_default_timezone(), closed_reasons())


def closed_reasons() -> dict[datetime.date, str]:
    """Why the laboratory is closed, by day."""
    return dict(models.ClosedDay.objects.filter(worked=False).values_list("day", "reason"))


def absences_from(day: datetime.date) -> dict[int, tuple[Absence, ...]]:
    """When people are away, by person's id; what has ended before `day` is left out."""
    away: dict[int, list[Absence]] = defaultdict(list)
    for absence in models.Absence.objects.filter(last_day__gte=day):
        away[absence.person_id].append(plain_absence(absence))
    return {person: tuple(absences) for person, absences in away.items()}


def plain_absence(row: models.Absence) -> Absence:
    hours = None
    if row.from_time is not None and row.until_time is not None:
        hours = Opening(minute_of(row.from_time), minute_of(row.until_time))
    return Absence(row.first_day, row.last_day, hours)


def laboratory_week() -> Week:
    return read_hours().get(None, USUAL_WEEK)


def own_week(person: User) -> Week | None:
    """A person's own hours; None for one who works the laboratory's."""
    return read_hours().get(person.pk)


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
    transit: dict[int, int] = {}
    cut_offs: dict[int, dict[int, int]] = defaultdict(dict)
    rows = models.Transport.objects.values_list(
        "practice", "transit_days", "collection_days__weekday", "collection_days__cut_off"
    )
    for practice, days, weekday, cut_off in rows:
        transit[practice] = days
        if weekday is not None:
            cut_offs[practice][weekday] = minute_of(cut_off)
    return {practice: Transport(cut_offs[practice], days) for practice, days in transit.items()}


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
