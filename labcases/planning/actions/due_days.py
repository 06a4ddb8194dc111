"""Due days of laboratory stages from the visits they are wanted for, stored where the calendar cannot move them."""

import datetime
from collections.abc import Iterable, Mapping

from django.conf import settings
from django.db import transaction
from django.utils import translation

from labcases.cases.actions.dates import set_dates
from labcases.cases.actions.guards import locked, log
from labcases.cases.choices import STILL_OPEN, Act
from labcases.cases.models import Case, Stage
from labcases.people.models import User
from labcases.planning.actions.guards import only_managers
from labcases.planning.queries.load import Facts, Leg, legs_of, read_facts, with_plans
from labcases.planning.scheduling.dates import due_days, windows
from labcases.planning.working_time import NoWorkingTime


@transaction.atomic
def lay_due_days(*, case: Case, by: User, now: datetime.datetime) -> None:
    """Lay the due days of a case's open laboratory stages before its visits, by working days and collections.

    To be called after everything that sets days or inserts stages. Stages that no visit with a day follows
    keep none.
    """
    _lay(locked(case.pk), read_facts(now=now), by=by, now=now)


@transaction.atomic
def set_wanted_days(
    *,
    case: Case,
    dates: Mapping[str, datetime.date | None],
    by: User,
    now: datetime.datetime,
    expected_version: int | None = None,
) -> None:
    """Set when the work is wanted, as `set_dates` does, and lay the bench's days before it."""
    set_dates(case=case, dates=dates, by=by, now=now, expected_version=expected_version)
    lay_due_days(case=case, by=by, now=now)


@transaction.atomic
def lay_all_due_days(*, by: User, now: datetime.datetime) -> int:
    """Lay the due days of all open cases anew, after the laboratory's week or closed days were changed."""
    only_managers(by)
    facts = read_facts(now=now)
    open_cases = Case.objects.filter(state__in=STILL_OPEN).order_by("pk")
    return sum(_lay(locked(pk), facts, by=by, now=now) for pk in open_cases.values_list("pk", flat=True))


def _lay(case: Case, facts: Facts, *, by: User, now: datetime.datetime) -> bool:
    """Store what changes, and log it; True if anything did."""
    stages = list(with_plans(Stage.objects.filter(case=case)).order_by("position"))
    before = {stage.pk: stage.due_on for stage in stages}
    changed = []
    for stage, day in _laid(case, stages, facts):
        if before[stage.pk] != day:
            stage.due_on = day
            changed.append(stage)
    if changed:
        Stage.objects.bulk_update(changed, ["due_on"])
        # What is written down for all is in the laboratory's language, whoever it was that moved the days.
        with translation.override(settings.LANGUAGE_CODE):
            after = {str(stage.label): str(stage.due_on) for stage in changed}
        log(case, Act.DATED, by=by, now=now, before={"by": "working days"}, after=after)
    return bool(changed)


def _laid(case: Case, stages: Iterable[Stage], facts: Facts) -> Iterable[tuple[Stage, datetime.date | None]]:
    for leg in legs_of(case, stages, facts):
        if isinstance(leg, Leg) and leg.wanted_on is not None and leg.job.due is not None:
            yield from zip(leg.stages, _days(leg, facts), strict=True)


def _days(leg: Leg, facts: Facts) -> list[datetime.date]:
    """Laboratory days before each other where there is room for them, else the last days that still suffice."""
    assert leg.job.due is not None
    last = facts.calendar.day_of(leg.job.due)
    usual = due_days(last, [facts.times[stage.kind].lab_days for stage in leg.stages], facts.calendar)
    begin = facts.calendar.day_of(leg.job.release)
    if usual[0] >= begin:
        return list(usual)
    try:
        tight = [facts.calendar.day_of(window.latest_finish) for window in windows(leg.job, facts.calendar)]
    except NoWorkingTime:
        return list(usual)
    return [day if day >= begin else max(day, least) for day, least in zip(usual, tight, strict=True)]
