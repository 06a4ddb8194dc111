"""Ticking a stage's steps, and the laboratory's own lists and paths."""

import datetime
from collections.abc import Sequence

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import lock_laboratory, locked, log, require_not_cancelled, stage_conflict
from labcases.cases.choices import Act, CaseKind, StageKind, StageState
from labcases.cases.models import Case, ChecklistStep, PathStep, Stage, Step
from labcases.cases.queries import checklist_for, path_for
from labcases.people.access import may_manage, works_in_laboratory
from labcases.people.models import User
from labcases.people.refusals import Conflict, NotAllowed, Refused


@transaction.atomic
def tick_step(*, step: Step, by: User, now: datetime.datetime) -> None:
    _set_tick(_case_at_work(step.stage, by), step, by=by, now=now, done=True)


@transaction.atomic
def untick_step(*, step: Step, by: User, now: datetime.datetime) -> None:
    _set_tick(_case_at_work(step.stage, by), step, by=by, now=now, done=False)


@transaction.atomic
def tick_all_steps(*, stage: Stage, by: User, now: datetime.datetime) -> None:
    case = _case_at_work(stage, by)
    for step in stage.steps.filter(done_at__isnull=True):
        _set_tick(case, step, by=by, now=now, done=True)


def _case_at_work(stage: Stage, by: User) -> Case:
    """The stage's case, locked; steps are ticked by the laboratory and only while the stage is at work."""
    if not works_in_laboratory(by):
        raise NotAllowed(_("Only the laboratory ticks its steps."))
    case = locked(stage.case_id)
    require_not_cancelled(case)
    if not Stage.objects.filter(pk=stage.pk, state=StageState.IN_PROGRESS).exists():
        raise stage_conflict(stage)
    return case


def _set_tick(case: Case, step: Step, *, by: User, now: datetime.datetime, done: bool) -> None:
    """Set one tick; one that is already as wanted stays as it is."""
    changed = Step.objects.filter(pk=step.pk, done_at__isnull=done).update(
        done_at=now if done else None, done_by=by if done else None
    )
    if changed:
        act = Act.STEP_TICKED if done else Act.STEP_UNTICKED
        log(case, act, by=by, now=now, stage=step.stage, after={"step": step.text})


@transaction.atomic
def set_checklist(
    *, stage_kind: str, steps: Sequence[str], by: User, expected: Sequence[str] | None = None
) -> None:
    """Replace the laboratory's checklist for a kind of stage; stages already started keep their copy.

    No steps bring the usual ones back. `expected` are the steps that the manager saw: others by now are a conflict.
    """
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager changes checklists."))
    if stage_kind not in StageKind.values:
        raise Refused(_("There is no such kind of stage."))
    lock_laboratory()
    if expected is not None and tuple(expected) != checklist_for(stage_kind):
        raise Conflict(_("This checklist was changed by somebody else while this page was open."))
    ChecklistStep.objects.filter(stage_kind=stage_kind).delete()
    ChecklistStep.objects.bulk_create(
        ChecklistStep(stage_kind=stage_kind, position=n, text=text.strip())
        for n, text in enumerate((text for text in steps if text.strip()), 1)
    )


@transaction.atomic
def set_path(
    *, case_kind: str, stage_kinds: Sequence[str], by: User, expected: Sequence[str] | None = None
) -> None:
    """Replace the laboratory's path for a kind of case; open cases keep the path they have.

    `expected` are the stages that the manager saw: others by now are a conflict.
    """
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager changes the path of a kind of case."))
    if case_kind not in CaseKind.values:
        raise Refused(_("There is no such kind of case."))
    if len(set(stage_kinds)) != len(stage_kinds) or not set(stage_kinds) <= set(StageKind.values):
        raise Refused(_("Each stage of a path is a known one and stands in it once."))
    if not stage_kinds:
        raise Refused(_("A path has at least one stage."))
    lock_laboratory()
    if expected is not None and tuple(expected) != path_for(case_kind):
        raise Conflict(_("This path was changed by somebody else while this page was open."))
    PathStep.objects.filter(case_kind=case_kind).delete()
    PathStep.objects.bulk_create(
        PathStep(case_kind=case_kind, position=n, stage_kind=kind) for n, kind in enumerate(stage_kinds, 1)
    )
