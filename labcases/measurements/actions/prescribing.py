"""Prescriptions with their figures: what the clinician wrote and what was taken at the chair."""

import datetime
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions import intake
from labcases.cases.actions.dates import set_dates
from labcases.cases.actions.guards import locked, log
from labcases.cases.choices import Act, Place
from labcases.cases.models import Case, Stage
from labcases.measurements.actions.readings import (
    Entry,
    check_entries,
    keep_correction,
    not_possible,
    require_free,
    write_readings,
)
from labcases.measurements.actions.specifying import reissue
from labcases.measurements.models import PrescribedDimension, Reading
from labcases.people.access import may_prescribe
from labcases.people.models import Practice, User
from labcases.people.refusals import NotAllowed, Refused
from labcases.prosthodontics.quantities import quantity
from labcases.prosthodontics.wording import Words

# (stage kind, arch, dimension) → the prescribed figure, or None to take an earlier one back
Prescribed = Mapping[tuple[str, str, str], Decimal | None]


@transaction.atomic
def take_in_case(
    *,
    practice: Practice,
    kind: str,
    arches: str,
    prescription: Mapping[str, Any],
    dates: Mapping[str, datetime.date],
    starts_at: str,
    figures: Sequence[Entry],
    prescribed: Prescribed,
    by: User,
    now: datetime.datetime,
    sign: bool = False,
) -> Case:
    """Open a case with everything its prescription brings: figures of the chair, prescribed dimensions, signature."""
    case = intake.open_case(
        practice=practice,
        kind=kind,
        arches=arches,
        prescription=prescription,
        dates=dates,
        starts_at=starts_at,
        by=by,
        now=now,
    )
    _keep_chairside_figures(case, figures, by=by, now=now)
    keep_dimensions(case=case, prescribed=prescribed, by=by, now=now)
    reissue(case=case, by=by, now=now)
    if sign:
        intake.sign_prescription(case=case, by=by, expected_version=case.version, now=now)
    case.refresh_from_db()
    return case


@transaction.atomic
def amend_case(
    *,
    case: Case,
    changes: Mapping[str, Any],
    dates: Mapping[str, datetime.date | None],
    figures: Sequence[Entry],
    corrections: Sequence[tuple[Reading, Entry]],
    reason: str,
    prescribed: Prescribed,
    by: User,
    expected_version: int,
    now: datetime.datetime,
    sign: bool = False,
) -> None:
    """Change a prescription with everything that it brings; figures that stood are corrected for `reason`.

    A change of what is prescribed, dimensions included, takes an earlier signature away; `sign` gives a new one.
    """
    intake.change_prescription(
        case=case,
        changes=changes,
        by=by,
        expected_version=expected_version,
        now=now,
        unsign=bool(prescribed),
    )
    if dates:
        set_dates(case=case, dates=dates, by=by, now=now)
    for reading, entry in corrections:
        keep_correction(reading=reading, entry=entry, reason=reason, by=by, now=now)
    _keep_chairside_figures(case, figures, by=by, now=now)
    keep_dimensions(case=case, prescribed=prescribed, by=by, now=now)
    reissue(case=case, by=by, now=now)
    changed = locked(case.pk)
    if sign and changed.signed_at is None:
        intake.sign_prescription(case=case, by=by, expected_version=changed.version, now=now)


@transaction.atomic
def prescribe_dimensions(*, case: Case, prescribed: Prescribed, by: User, now: datetime.datetime) -> None:
    """Write down dimensions that the clinician prescribes; they go before computed and standard figures."""
    keep_dimensions(case=case, prescribed=prescribed, by=by, now=now)
    reissue(case=case, by=by, now=now)


@transaction.atomic
def keep_dimensions(*, case: Case, prescribed: Prescribed, by: User, now: datetime.datetime) -> None:
    """`prescribe_dimensions` for a caller with more to write, who issues the specifications once at the end."""
    _require_prescriber(case, by)
    case = locked(case.pk)
    for (stage_kind, arch, dimension), value in prescribed.items():
        _check_prescribed(case, arch, dimension, value)
        row = PrescribedDimension.objects.create(
            case=case, stage_kind=stage_kind, arch=arch, dimension=dimension, value=value, by=by, at=now
        )
        log(
            case,
            Act.PRESCRIBED,
            by=by,
            now=now,
            after={"stage": stage_kind, "arch": arch, "dimension": dimension, "value": str(value)},
            of=[row],
        )


def _keep_chairside_figures(
    case: Case, figures: Sequence[Entry], *, by: User, now: datetime.datetime
) -> None:
    """Figures taken at the chair outside a stage's own page, as of the case's latest clinic stage."""
    _require_prescriber(case, by)
    check_entries(figures)
    case = locked(case.pk)
    stage = _stage_of_figures(case)
    require_free(stage, figures)
    write_readings(stage=stage, entries=figures, by=by, now=now, measured_at=now, case=case)


def _check_prescribed(case: Case, arch: str, dimension: str, value: Decimal | None) -> None:
    kind = quantity(dimension)
    if arch not in case.arch_names or arch not in kind.arches:
        raise Refused(
            _("{dimension} cannot be prescribed for “{arch}” in this case.").format(
                dimension=kind.label, arch=Words(arch)
            )
        )
    if value is not None and not kind.is_possible(value):
        raise Refused(not_possible(kind, value))


def _require_prescriber(case: Case, by: User) -> None:
    if not may_prescribe(by) or (by.is_clinician and by.practice_id != case.practice_id):
        raise NotAllowed(_("Only the practice writes its prescriptions, or a lab manager for it."))


def _stage_of_figures(case: Case) -> Stage:
    """The last clinic stage up to where the case stands; a path that starts in the laboratory gives its first."""
    reached = case.stages.filter(place=Place.CLINIC)
    if case.current_stage:
        reached = reached.filter(position__lte=case.current_stage.position)
    return reached.order_by("position").last() or case.stages.order_by("position").first()
