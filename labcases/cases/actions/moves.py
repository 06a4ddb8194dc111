"""The moves of a stage: start, finish, hold, take up again, skip."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import locked, log, require_not_cancelled, stage_conflict, update_stage
from labcases.cases.choices import Act, CaseState, Place, StageState
from labcases.cases.models import Case, Stage, Step
from labcases.cases.queries import checklist_for, stages_of
from labcases.cases.rules import location_after, may_be_started, next_open_stage
from labcases.people.access import may_manage, works_in_laboratory
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused


def require_place(stage: Stage, by: User) -> None:
    """Laboratory stages are worked by the laboratory; clinic stages by the practice, or for it by a manager."""
    if stage.place == Place.LABORATORY and not works_in_laboratory(by):
        raise NotAllowed(_("Only the laboratory works on its stages."))
    own_practice = by.is_clinician and by.practice_id == stage.case.practice_id
    if stage.place == Place.CLINIC and not (own_practice or by.is_manager):
        raise NotAllowed(_("Only the practice records its own stages, or a lab manager for it."))


@transaction.atomic
def start_stage(*, stage: Stage, by: User, expected_version: int, now: datetime.datetime) -> None:
    """Take up a waiting stage; an unassigned one becomes the starter's own."""
    case = locked(stage.case_id)
    require_place(stage, by)
    _require_turn(case, stage, expected_version)
    assignee = stage.assignee_id or (by.pk if stage.is_in_laboratory else None)
    update_stage(
        stage,
        expected_version=expected_version,
        states=(StageState.WAITING,),
        state=StageState.IN_PROGRESS,
        started_at=now,
        assignee_id=assignee,
    )
    steps = checklist_for(stage.kind)
    Step.objects.bulk_create(Step(stage=stage, position=n, text=text) for n, text in enumerate(steps, 1))
    log(
        case,
        Act.STARTED,
        by=by,
        now=now,
        stage=stage,
        before={"state": stage.state, "assignee": stage.assignee_id},
        after={"assignee": assignee},
    )


@transaction.atomic
def finish_stage(
    *,
    stage: Stage,
    by: User,
    expected_version: int,
    now: datetime.datetime,
    outcome: str = "",
    reason: str = "",
    facts: Mapping[str, Any] | None = None,
) -> None:
    """Finish the stage at work and point the case at its next one.

    A clinic stage may be finished straight from waiting: a chair has no start button. `facts` are what else
    the log should keep, such as the figures that stood against finishing.
    """
    case = locked(stage.case_id)
    require_place(stage, by)
    require_not_cancelled(case)
    allowed: tuple[str, ...] = (StageState.IN_PROGRESS,)
    if stage.place == Place.CLINIC:
        allowed += (StageState.WAITING,)
        _require_turn(case, stage, expected_version)
    update_stage(
        stage,
        expected_version=expected_version,
        states=allowed,
        state=StageState.DONE,
        finished_at=now,
        finished_by=by,
        outcome=outcome,
    )
    unticked = list(stage.steps.filter(done_at__isnull=True).values_list("text", flat=True))
    following = point_at_next(case, done=stage, now=now)
    log(
        case,
        Act.FINISHED,
        by=by,
        now=now,
        stage=stage,
        before={"state": stage.state},
        after={
            "next": following.kind if following else None,
            "outcome": outcome,
            "steps_not_ticked": unticked,
            **(facts or {}),
        },
        reason=reason,
    )


def point_at_next(case: Case, *, done: Stage, now: datetime.datetime) -> Stage | None:
    """Set the case's current stage, place and state after a stage came to its end."""
    following = next_open_stage(stages_of(case))
    Case.objects.filter(pk=case.pk).update(
        current_stage=following,
        location=location_after(case, done=done, following=following),
        state=case.state if following else CaseState.COMPLETE,
        completed_at=None if following else now,
    )
    return following


@transaction.atomic
def hold_stage(*, stage: Stage, by: User, expected_version: int, reason: str, now: datetime.datetime) -> None:
    if not reason.strip():
        raise Refused(_("Say why the stage is put on hold."))
    case = locked(stage.case_id)
    require_place(stage, by)
    require_not_cancelled(case)
    update_stage(
        stage,
        expected_version=expected_version,
        states=(StageState.IN_PROGRESS,),
        state=StageState.ON_HOLD,
        hold_reason=reason.strip(),
    )
    log(case, Act.HELD, by=by, now=now, stage=stage, reason=reason.strip())


@transaction.atomic
def resume_stage(*, stage: Stage, by: User, expected_version: int, now: datetime.datetime) -> None:
    case = locked(stage.case_id)
    require_place(stage, by)
    require_not_cancelled(case)
    update_stage(
        stage,
        expected_version=expected_version,
        states=(StageState.ON_HOLD,),
        state=StageState.IN_PROGRESS,
        hold_reason="",
    )
    log(case, Act.RESUMED, by=by, now=now, stage=stage, before={"hold_reason": stage.hold_reason})


@transaction.atomic
def skip_stage(*, stage: Stage, by: User, expected_version: int, reason: str, now: datetime.datetime) -> None:
    """Leave out a stage that this case does not need, such as a tray made chairside."""
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager can leave out a stage."))
    if not reason.strip():
        raise Refused(_("Say why the stage is left out."))
    case = locked(stage.case_id)
    require_not_cancelled(case)
    update_stage(
        stage, expected_version=expected_version, states=(StageState.WAITING,), state=StageState.SKIPPED
    )
    if case.current_stage_id == stage.pk:
        point_at_next(case, done=stage, now=now)
    log(case, Act.SKIPPED, by=by, now=now, stage=stage, reason=reason.strip())


def _require_turn(case: Case, stage: Stage, expected_version: int) -> None:
    obstacle = may_be_started(case, stage)
    if obstacle:
        if not Stage.objects.filter(pk=stage.pk, version=expected_version).exists():
            raise stage_conflict(stage)
        raise Refused(obstacle)
