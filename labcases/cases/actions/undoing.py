"""Taking back at once what was done by a slip of the hand. The log keeps both: what was done and that it was undone."""

import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import conflict_in, locked, log, require_not_cancelled, update_stage
from labcases.cases.actions.moves import require_place
from labcases.cases.choices import Act, CaseState, StageState
from labcases.cases.models import Case, Event, Step
from labcases.cases.queries import UNDO_WITHIN, UNDOABLE
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused


@transaction.atomic
def undo(*, event: Event, by: User, expected_version: int, now: datetime.datetime) -> None:
    """Put the stage back to how it was before `event`, the last thing that happened to its case.

    Raises Refused after half a minute, NotAllowed for what somebody else did, and Conflict where anybody, also
    oneself, did something to the case since. Figures are no part of it: what was measured stays measured.
    """
    case = locked(event.case_id)
    require_not_cancelled(case)
    _require_undoable(case, event, by=by, now=now)
    stage = event.stage
    require_place(stage, by)
    told: dict[str, object] = {"act": event.act, "event": event.pk}
    match event.act:
        case Act.STARTED:
            _unstart(event, expected_version)
        case Act.FINISHED:
            _reopen(case, event, expected_version)
        case Act.HELD:
            _take_up(event, expected_version)
        case Act.STEP_TICKED:
            told["steps"] = _untick(event)
    log(case, Act.UNDONE, by=by, now=now, stage=stage, before=told)


def _require_undoable(case: Case, event: Event, *, by: User, now: datetime.datetime) -> None:
    if event.act not in UNDOABLE or event.stage is None or not event.stage.is_in_laboratory:
        raise Refused(_("This can’t be taken back; a further step puts it right."))
    if event.by_id != by.pk:
        raise NotAllowed(_("Only who did it takes it back at once."))
    if case.events.filter(position__gt=event.position).exists():
        words = _("Something was done to case {number} since; nothing was taken back.")
        raise conflict_in(case, words.format(number=case.number))
    if now - event.at > UNDO_WITHIN:
        seconds = int(UNDO_WITHIN.total_seconds())
        words = _("More than {seconds} seconds have passed; nothing was taken back.")
        raise Refused(words.format(seconds=seconds))


def _unstart(event: Event, expected_version: int) -> None:
    """As if nobody had begun: the copy of the checklist goes too, the next start takes a new one."""
    update_stage(
        event.stage,
        expected_version=expected_version,
        states=(StageState.IN_PROGRESS,),
        state=StageState.WAITING,
        started_at=None,
        assignee_id=event.before.get("assignee"),
    )
    Step.objects.filter(stage=event.stage_id).delete()


def _reopen(case: Case, event: Event, expected_version: int) -> None:
    update_stage(
        event.stage,
        expected_version=expected_version,
        states=(StageState.DONE,),
        state=StageState.IN_PROGRESS,
        finished_at=None,
        finished_by=None,
        outcome="",
    )
    # Work of the laboratory that is finished stays where it lies, so only the case's pointer goes back.
    Case.objects.filter(pk=case.pk).update(
        current_stage=event.stage_id, state=CaseState.OPEN, completed_at=None
    )


def _take_up(event: Event, expected_version: int) -> None:
    update_stage(
        event.stage,
        expected_version=expected_version,
        states=(StageState.ON_HOLD,),
        state=StageState.IN_PROGRESS,
        hold_reason="",
    )


def _untick(event: Event) -> list[str]:
    """All that were ticked by the same tap; their texts."""
    ticked = Step.objects.filter(stage=event.stage_id, done_at=event.at, done_by=event.by_id)
    texts = list(ticked.values_list("text", flat=True))
    ticked.update(done_at=None, done_by=None)
    return texts
