"""The laboratory's week and closed days, its people's hours and absences, its practices' collections."""

import datetime
from collections.abc import Mapping, Sequence

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from labcases.people.access import may_manage, works_in_laboratory
from labcases.people.models import Practice, User
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.planning.actions.guards import move_calendar_on, only_managers
from labcases.planning.choices import ClosedFor
from labcases.planning.models import Absence, ClosedDay, CollectionDay, OpeningHours, Transport
from labcases.planning.queries.calendars import plain_absence
from labcases.planning.working_time import Week
from labcases.planning.working_time.public_holidays import public_holidays
from labcases.prosthodontics.errors import InputError

LONGEST_CLOSURE = 60  # days


@transaction.atomic
def set_laboratory_week(*, week: Week, by: User, expected_version: int) -> None:
    """Replace the laboratory's openings. Days laid before stay as they are until they are laid anew."""
    only_managers(by)
    if not any(week.days):
        raise Refused(_("The laboratory is open on at least one day of the week."))
    move_calendar_on(expected_version)
    _write_week(week, None)


@transaction.atomic
def set_person_hours(*, person: User, week: Week | None, by: User, expected_version: int) -> None:
    """Set a person's own hours; None for one who works the laboratory's."""
    only_managers(by)
    _require_bench(person)
    if week is not None and not any(week.days):
        raise Refused(_("A person with own hours works on at least one day of the week."))
    move_calendar_on(expected_version)
    _write_week(week, person)


def _write_week(week: Week | None, person: User | None) -> None:
    OpeningHours.objects.filter(person=person).delete()
    OpeningHours.objects.bulk_create(
        OpeningHours(person=person, weekday=weekday, opens=_time(opening.start), closes=_time(opening.end))
        for weekday, openings in enumerate(week.days if week else ())
        for opening in openings
    )


def _time(minute: int) -> datetime.time:
    return datetime.time(minute // 60 % 24, minute % 60)


@transaction.atomic
def close_days(
    *, first: datetime.date, last: datetime.date, reason: str, by: User, expected_version: int
) -> int:
    """Close the laboratory from `first` to `last`; days closed already keep their reason."""
    only_managers(by)
    if not 0 <= (last - first).days < LONGEST_CLOSURE:
        raise Refused(
            _("A closure ends no earlier than it begins and lasts at most {days} days.").format(
                days=LONGEST_CLOSURE
            )
        )
    if not reason.strip():
        raise Refused(_("Say why the laboratory is closed."))
    move_calendar_on(expected_version)
    days = [first + datetime.timedelta(days=n) for n in range((last - first).days + 1)]
    known = set(ClosedDay.objects.filter(day__in=days).values_list("day", flat=True))
    made = ClosedDay.objects.bulk_create(
        ClosedDay(day=day, reason=reason.strip()) for day in days if day not in known
    )
    return len(made)


@transaction.atomic
def open_day(*, closed: ClosedDay, by: User, expected_version: int) -> None:
    """Work on a closed day after all. A public holiday stays known, so that it is not closed again next time."""
    only_managers(by)
    move_calendar_on(expected_version)
    if closed.origin == ClosedFor.PUBLIC_HOLIDAY:
        ClosedDay.objects.filter(pk=closed.pk).update(worked=True)
    else:
        ClosedDay.objects.filter(pk=closed.pk).delete()


@transaction.atomic
def close_day_again(*, closed: ClosedDay, by: User, expected_version: int) -> None:
    only_managers(by)
    move_calendar_on(expected_version)
    ClosedDay.objects.filter(pk=closed.pk).update(worked=False)


@transaction.atomic
def adopt_public_holidays(
    *,
    country: str,
    region: str,
    years: Sequence[int],
    by: User,
    now: datetime.datetime,
    expected_version: int,
) -> int:
    """Store the public holidays of the years; only days to come are added, none is taken away."""
    only_managers(by)
    try:
        found = public_holidays(country, region, years=years, language=settings.LANGUAGE_CODE)
    except InputError as error:
        raise Refused(error.message) from error
    move_calendar_on(expected_version, country=country, region=region)
    today = now.astimezone(timezone.get_default_timezone()).date()
    wanted = {day: name for day, name in found.items() if day >= today}
    known = set(ClosedDay.objects.filter(day__in=wanted).values_list("day", flat=True))
    made = ClosedDay.objects.bulk_create(
        ClosedDay(day=day, reason=name[:120], origin=ClosedFor.PUBLIC_HOLIDAY)
        for day, name in wanted.items()
        if day not in known
    )
    return len(made)


@transaction.atomic
def add_absence(
    *,
    person: User,
    first_day: datetime.date,
    last_day: datetime.date,
    by: User,
    from_time: datetime.time | None = None,
    until_time: datetime.time | None = None,
) -> Absence:
    """Note that a person is away; managers for everybody, others for themselves."""
    _require_own(person, by)
    _require_bench(person)
    absence = Absence(
        person=person, first_day=first_day, last_day=last_day, from_time=from_time, until_time=until_time
    )
    if (from_time is None) != (until_time is None):
        raise Refused(_("Give both hours of the absence, or none for whole days."))
    try:
        plain_absence(absence)
    except InputError as error:
        raise Refused(_("An absence ends no earlier than it begins.")) from error
    absence.save(force_insert=True)
    return absence


@transaction.atomic
def remove_absence(*, absence: Absence, by: User) -> None:
    _require_own(absence.person, by)
    deleted = Absence.objects.filter(pk=absence.pk).delete()[0]
    if not deleted:
        raise Conflict(_("This absence was removed by somebody else while this page was open."))


@transaction.atomic
def set_transport(
    *,
    practice: Practice,
    cut_offs: Mapping[int, datetime.time],
    transit_days: int,
    by: User,
    expected_version: int,
) -> None:
    """Set a practice's weekly collections (weekday, 0 for Monday, to the hour) and the days on the way."""
    only_managers(by)
    if not 0 <= transit_days <= 10:
        raise Refused(_("The way takes from 0 to 10 working days."))
    if not set(cut_offs) <= set(range(7)):
        raise Refused(_("A collection is on a day of the week."))
    row = Transport.objects.get_or_create(practice=practice, defaults={"version": 0})[0]
    changed = Transport.objects.filter(pk=row.pk, version=expected_version).update(
        version=F("version") + 1, transit_days=transit_days
    )
    if not changed:
        raise Conflict(
            _("The collections of {practice} were changed by somebody else meanwhile.").format(
                practice=practice
            )
        )
    CollectionDay.objects.filter(transport=row).delete()
    CollectionDay.objects.bulk_create(
        CollectionDay(transport=row, weekday=weekday, cut_off=cut_off)
        for weekday, cut_off in sorted(cut_offs.items())
    )


def _require_own(person: User, by: User) -> None:
    if not (may_manage(by) or (works_in_laboratory(by) and by.pk == person.pk)):
        raise NotAllowed(_("Only a lab manager notes somebody else's absence."))


def _require_bench(person: User) -> None:
    if not works_in_laboratory(person):
        raise Refused(_("{person} does not work in the laboratory.").format(person=person))
