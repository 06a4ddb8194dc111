import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import lock_laboratory
from labcases.cases.rules import laboratory_day
from labcases.measurements.models import LabStandard, Norm
from labcases.people.access import may_manage
from labcases.people.models import User
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.prosthodontics.standard.schools import Schools, changed


@dataclass(frozen=True)
class OwnNorm:
    """One figure of the laboratory's own: target with what may be less and more, in `unit`."""

    stage_kind: str
    arch: str
    dimension: str
    target: Decimal | None
    minus: Decimal | None
    plus: Decimal | None
    unit: str
    note: str = ""


@transaction.atomic
def set_lab_standard(
    *,
    norms: Sequence[OwnNorm],
    schools: Mapping[str, str],
    valid_from: datetime.date,
    by: User,
    now: datetime.datetime,
    expected: LabStandard | None,
    note: str = "",
) -> LabStandard:
    """Write the laboratory's figures as a new standard from a day on; issued specifications keep theirs.

    Raises InputError for a choice of school that is not offered.
    `expected` is the newest standard that the manager saw; another one by now is a conflict.
    """
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager changes the lab standard."))
    if valid_from < laboratory_day(now):
        raise Refused(_("A lab standard holds from today or later; earlier days keep the one they had."))
    changed(Schools(), schools)
    lock_laboratory()
    if LabStandard.objects.order_by("-pk").first() != expected:
        raise Conflict(_("The lab standard was changed by somebody else while this page was open."))
    standard = LabStandard.objects.create(
        valid_from=valid_from, made_at=now, made_by=by, schools=dict(schools), note=note
    )
    Norm.objects.bulk_create(Norm(standard=standard, **vars(norm)) for norm in norms)
    return standard
