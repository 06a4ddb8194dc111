"""Taking in a case: the prescription, its signature, and when it may go to the bench."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from labcases.cases.actions.completeness import settle_completeness
from labcases.cases.actions.dates import write_dates
from labcases.cases.actions.guards import case_conflict, locked, log
from labcases.cases.choices import STILL_OPEN, Act, CaseState, Location, Place, StageKind, StageState
from labcases.cases.models import Case, NumberSeries, Stage
from labcases.cases.numbers import case_number, next_running
from labcases.cases.queries import path_for
from labcases.cases.rules import laboratory_day
from labcases.people.access import may_manage, may_prescribe
from labcases.people.models import Practice, User
from labcases.people.refusals import NotAllowed, Refused

# What a prescription says about the work; changing one of these is a change of the prescription.
PRESCRIPTION_FIELDS = (
    "prescriber",
    "order_number",
    "patient_code",
    "patient_age",
    "patient_sex",
    "work_description",
    "impression_material",
    "base_material",
    "shade",
    "tooth_wishes",
    "subcontractor",
    "notes",
)
# How the practice files it, not what it prescribes: a change leaves the signature where it is.
NOT_SIGNED_FOR = frozenset({"order_number"})


@transaction.atomic
def open_case(
    *,
    practice: Practice,
    kind: str,
    arches: str,
    prescription: Mapping[str, Any],
    dates: Mapping[str, datetime.date],
    starts_at: str,
    by: User,
    now: datetime.datetime,
) -> Case:
    """Open a case at a stage of its path; earlier stages were done before it came and are skipped.

    `dates` are the days on which the work is wanted at the clinic, by kind of clinic stage. An incomplete
    prescription is kept, and the case listed as incomplete.
    """
    _require_prescriber(practice, by)
    _require_own_prescriber(practice, prescription.get("prescriber"))
    path = path_for(kind)
    if starts_at not in path:
        raise Refused(_("This kind of case has no such stage to start at."))
    number = _next_number(laboratory_day(now).year)
    _require_new_order(practice, prescription.get("order_number", ""))
    case = Case.objects.create(
        number=number,
        practice=practice,
        kind=kind,
        arches=arches,
        opened_at=now,
        opened_by=by,
        **_only_prescription_fields(prescription),
    )
    _lay_path(case, path, starts_at)
    write_dates(case, dates)
    said = {name: _plain(getattr(case, name)) for name in PRESCRIPTION_FIELDS}
    opened = {"kind": kind, "arches": arches, "starts_at": starts_at}
    log(case, Act.OPENED, by=by, now=now, after={**opened, **said})
    settle_completeness(case)
    return case


@transaction.atomic
def change_prescription(
    *,
    case: Case,
    changes: Mapping[str, Any],
    by: User,
    expected_version: int,
    now: datetime.datetime,
    dates: Mapping[str, datetime.date | None] | None = None,
    unsign: bool = False,
) -> None:
    """Change what is prescribed. A changed prescription loses its signature: what was signed was another.

    `unsign` takes it away also for a change outside these fields, such as of a prescribed dimension.
    """
    _require_prescriber(case.practice, by)
    wanted = _only_prescription_fields(changes)
    _require_new_order(case.practice, wanted.get("order_number", ""), besides=case)
    locked(case.pk)
    before = Case.objects.get(pk=case.pk)
    different = {name: value for name, value in wanted.items() if getattr(before, name) != value}
    _require_own_prescriber(case.practice, different.get("prescriber"))
    takes_signature = unsign or bool(set(different) - NOT_SIGNED_FOR)
    signature = {"signed_by": None, "signed_at": None} if takes_signature else {}
    changed = Case.objects.filter(pk=case.pk, version=expected_version, state__in=STILL_OPEN).update(
        version=F("version") + 1, **different, **signature
    )
    if not changed:
        raise case_conflict(case)
    write_dates(case, dates or {})
    if different:
        log(
            case,
            Act.PRESCRIPTION_CHANGED,
            by=by,
            now=now,
            before={name: _plain(getattr(before, name)) for name in different},
            after={name: _plain(value) for name, value in different.items()},
        )
    settle_completeness(case)


@transaction.atomic
def sign_prescription(*, case: Case, by: User, expected_version: int, now: datetime.datetime) -> None:
    """Sign: the prescriber's practice on the screen, or a lab manager who holds the signed paper."""
    _require_prescriber(case.practice, by)
    locked(case.pk)
    changed = Case.objects.filter(
        pk=case.pk, version=expected_version, signed_at__isnull=True, state__in=STILL_OPEN
    ).update(version=F("version") + 1, signed_by=by, signed_at=now)
    if not changed:
        raise case_conflict(case)
    how = (
        gettext_noop("on the screen")
        if by.is_clinician
        else gettext_noop("signed paper held by the laboratory")
    )
    log(case, Act.SIGNED, by=by, now=now, after={"how": how})
    settle_completeness(case)


@transaction.atomic
def cancel_case(*, case: Case, by: User, reason: str, expected_version: int, now: datetime.datetime) -> None:
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager can cancel a case."))
    if not reason.strip():
        raise Refused(_("Say why the case is cancelled."))
    locked(case.pk)
    changed = Case.objects.filter(pk=case.pk, version=expected_version, state__in=STILL_OPEN).update(
        version=F("version") + 1, state=CaseState.CANCELLED
    )
    if not changed:
        raise case_conflict(case)
    log(case, Act.CANCELLED, by=by, now=now, before={"state": case.state}, reason=reason.strip())


def _require_prescriber(practice: Practice, by: User) -> None:
    if not may_prescribe(by) or (by.is_clinician and by.practice_id != practice.pk):
        raise NotAllowed(_("Only the practice writes its prescriptions, or a lab manager for it."))


def _require_own_prescriber(practice: Practice, prescriber: User | None) -> None:
    if prescriber and not (prescriber.is_clinician and prescriber.practice_id == practice.pk):
        words = _("{prescriber} does not prescribe for {practice}.")
        raise Refused(words.format(prescriber=prescriber, practice=practice))


def _require_new_order(practice: Practice, order_number: str, *, besides: Case | None = None) -> None:
    """Refuse an order of this practice that is here already; a cancelled case leaves its number free.

    The practice's lock, taken before any case's, lets in one order at a time: of two equal ones the second sees the
    first.
    """
    if not order_number:
        return
    Practice.objects.select_for_update(no_key=True).get(pk=practice.pk)
    same = Case.objects.filter(practice=practice, order_number=order_number).exclude(
        state=CaseState.CANCELLED
    )
    found = (same.exclude(pk=besides.pk) if besides else same).first()
    if found:
        words = _("Order {order} of {practice} is here already, as case {number}.")
        raise Refused(words.format(order=order_number, practice=practice, number=found.number))


def _next_number(year: int) -> str:
    NumberSeries.objects.get_or_create(year=year)
    series = NumberSeries.objects.select_for_update().get(year=year)
    running = next_running(year, series.last)
    NumberSeries.objects.filter(pk=series.pk).update(last=running)
    return case_number(year, running)


def _lay_path(case: Case, path: tuple[StageKind, ...], starts_at: str) -> None:
    first = path.index(StageKind(starts_at))
    stages = Stage.objects.bulk_create(
        Stage(
            case=case,
            kind=kind,
            place=kind.place,
            position=position,
            state=StageState.SKIPPED if position <= first else StageState.WAITING,
        )
        for position, kind in enumerate(path, 1)
    )
    start = stages[first]
    location = Location.CLINIC if start.place == Place.CLINIC else Location.TO_LABORATORY
    Case.objects.filter(pk=case.pk).update(current_stage=start, location=location)


def _only_prescription_fields(values: Mapping[str, Any]) -> dict[str, Any]:
    unknown = set(values) - set(PRESCRIPTION_FIELDS)
    if unknown:
        raise ValueError(f"not part of a prescription: {sorted(unknown)}")
    return dict(values)


def _plain(value: object) -> object:
    return value if isinstance(value, str | int | None) else str(value)
