import datetime
from collections.abc import Iterable

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import locked, log, require_not_cancelled, stage_conflict
from labcases.cases.choices import OPEN_STATES, Act, Place
from labcases.cases.models import Stage
from labcases.people.access import may_manage, works_in_laboratory
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused


@transaction.atomic
def assign(
    *,
    stages: Iterable[tuple[Stage, int]],
    to: User | None,
    by: User,
    now: datetime.datetime,
    planned_on: datetime.date | None = None,
) -> int:
    """Give stages (each with the version the manager saw) to a person, or to nobody. All of them or none."""
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager gives out work."))
    if to is not None and not works_in_laboratory(to):
        raise Refused(_("{person} does not work in the laboratory.").format(person=to))
    count = 0
    # In one order for everybody, so that two managers' batches cannot wait for each other.
    for stage, version in sorted(stages, key=lambda pair: pair[0].case_id):
        _assign_one(stage, version, to=to, by=by, now=now, planned_on=planned_on)
        count += 1
    return count


def _assign_one(
    stage: Stage,
    version: int,
    *,
    to: User | None,
    by: User,
    now: datetime.datetime,
    planned_on: datetime.date | None,
) -> None:
    case = locked(stage.case_id)
    require_not_cancelled(case)
    changed = Stage.objects.filter(
        pk=stage.pk, version=version, state__in=OPEN_STATES, place=Place.LABORATORY
    ).update(assignee=to, planned_on=planned_on or stage.planned_on, version=F("version") + 1)
    if not changed:
        raise stage_conflict(stage)
    log(
        case,
        Act.ASSIGNED,
        by=by,
        now=now,
        stage=stage,
        before={"assignee": stage.assignee_id},
        after={"assignee": to.pk if to else None},
    )
