"""The days on which work is wanted at the clinic, and what follows for the laboratory's own stages."""

import datetime
from collections.abc import Iterable, Mapping

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.completeness import settle_completeness
from labcases.cases.actions.guards import case_conflict, locked, log, update_case
from labcases.cases.choices import OPEN_STATES, Act, Place
from labcases.cases.models import Case, Stage
from labcases.cases.queries import stages_of
from labcases.people.access import may_prescribe
from labcases.people.models import User
from labcases.people.refusals import NotAllowed


@transaction.atomic
def set_dates(
    *,
    case: Case,
    dates: Mapping[str, datetime.date | None],
    by: User,
    now: datetime.datetime,
    expected_version: int | None = None,
) -> None:
    """Set when the work is wanted for open clinic stages, by kind; laboratory stages before them follow.

    Days are part of what a page of the case shows, so the case's version moves on; a page that was loaded before
    gives the version it saw, and Conflict is raised where that is no longer the case's.
    """
    if not may_prescribe(by) or (by.is_clinician and by.practice_id != case.practice_id):
        raise NotAllowed(_("Only the practice or a lab manager sets when work is wanted."))
    case = locked(case.pk)
    if not case.is_open:
        raise case_conflict(case)
    update_case(case, expected_version=case.version if expected_version is None else expected_version)
    before = _wanted(case, dates)
    write_dates(case, dates)
    log(case, Act.DATED, by=by, now=now, before=before, after=_wanted(case, dates))
    settle_completeness(case)


def _wanted(case: Case, kinds: Iterable[str]) -> dict[str, str]:
    """The days that stand for open clinic stages of these kinds, for the log."""
    stages = case.stages.filter(kind__in=list(kinds), state__in=OPEN_STATES, place=Place.CLINIC)
    return {kind: str(day) for kind, day in stages.values_list("kind", "due_on")}


def write_dates(case: Case, dates: Mapping[str, datetime.date | None]) -> None:
    """Store wanted days of open clinic stages and lay the laboratory's due days before them. No checks, no log."""
    stages = [stage for stage in stages_of(case) if stage.state in OPEN_STATES]
    for stage in stages:
        if stage.place == Place.CLINIC and stage.kind in dates:
            stage.due_on = dates[stage.kind]
    wanted = None
    for stage in reversed(stages):
        if stage.place == Place.CLINIC:
            wanted = stage.due_on
        else:
            stage.due_on = working_day_before(wanted) if wanted else None
    Stage.objects.bulk_update(stages, ["due_on"])


def working_day_before(day: datetime.date) -> datetime.date:
    """The last Monday-to-Friday day before `day`: the work must be back the evening before."""
    before = day - datetime.timedelta(days=1)
    while before.weekday() >= 5:
        before -= datetime.timedelta(days=1)
    return before
