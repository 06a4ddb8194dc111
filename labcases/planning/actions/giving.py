"""Giving out work so that the plan knows of it."""

import datetime
from collections.abc import Iterable

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.guards import locked, log
from labcases.cases.choices import Act
from labcases.cases.models import Case, Stage
from labcases.people.models import User
from labcases.people.refusals import Refused
from labcases.planning.actions.guards import only_managers
from labcases.planning.models import CaseWeight, PlannedWork


@transaction.atomic
def give(
    *,
    stages: Iterable[tuple[Stage, int]],
    to: User | None,
    by: User,
    now: datetime.datetime,
    planned_on: datetime.date | None = None,
    pinned: bool = True,
) -> int:
    """Give stages (each with the version the manager saw) to a person for a day, or to nobody.

    What a manager gives by hand is pinned: proposals leave it where it is. All of them or none.
    """
    pairs = list(stages)
    count = assign(stages=pairs, to=to, by=by, now=now, planned_on=planned_on)
    PlannedWork.objects.filter(stage__in=[stage for stage, _ in pairs]).delete()
    if to is not None:
        PlannedWork.objects.bulk_create(
            PlannedWork(stage=stage, person=to, pinned=pinned, by=by, at=now) for stage, _ in pairs
        )
    return count


@transaction.atomic
def set_pinned(*, stage: Stage, pinned: bool, by: User, now: datetime.datetime) -> None:
    """Pin a given stage where it is, or let proposals move it."""
    only_managers(by)
    case = locked(stage.case_id)
    fresh = Stage.objects.select_related("assignee").get(pk=stage.pk)
    if fresh.assignee is None:
        raise Refused(_("{stage} is given to nobody yet.").format(stage=fresh.label))
    PlannedWork.objects.update_or_create(
        stage=fresh, defaults={"person": fresh.assignee, "pinned": pinned, "by": by, "at": now}
    )
    log(case, Act.ASSIGNED, by=by, now=now, stage=fresh, after={"pinned": pinned})


@transaction.atomic
def weigh_case(*, case: Case, weight: int, by: User, now: datetime.datetime) -> None:
    """Say how bad a day of lateness of this case is: 1 is usual, 9 the most."""
    only_managers(by)
    if not 1 <= weight <= 9:
        raise Refused(_("A case weighs from 1 to 9."))
    case = locked(case.pk)
    CaseWeight.objects.update_or_create(case=case, defaults={"weight": weight})
    log(case, Act.NOTE, by=by, now=now, after={"weight": weight})
