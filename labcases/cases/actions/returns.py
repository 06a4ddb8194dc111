"""Work that comes back: the stages to be done again become the case's next visit; what was done stays."""

import datetime

from django.db import transaction
from django.db.models import F, Max
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import locked, log, update_stage
from labcases.cases.actions.moves import require_place
from labcases.cases.choices import Act, CaseState, Location, Place, ReturnCause, StageKind, StageState
from labcases.cases.models import Case, Return, Stage
from labcases.cases.queries import stage_to_return_from, stages_of, stages_to_return_to
from labcases.cases.rules import kinds_to_repeat
from labcases.people.models import User
from labcases.people.refusals import Conflict, Refused

# Far from any real position, so that moving rows up never meets a row that is still in place.
ASIDE = 1_000_000


@transaction.atomic
def send_back(
    *,
    stage: Stage,
    to: Stage,
    cause: str,
    note: str,
    by: User,
    expected_version: int,
    now: datetime.datetime,
    outcome: str = "",
) -> Return:
    """End `stage` as sent back and insert the next visit, from `to`'s kind up to and with `stage`'s kind.

    `to` is an earlier laboratory stage. Raises Refused for one that is not, Conflict when somebody was first.
    """
    case = locked(stage.case_id)
    require_place(stage, by)
    _require_at_hand(case, stage, by)
    _require_return(case, stage, to, cause, note)
    returned = {"state": StageState.RETURNED, "finished_at": now, "finished_by": by}
    if outcome:
        returned["outcome"] = outcome
    update_stage(
        stage,
        expected_version=expected_version,
        states=(StageState.WAITING, StageState.IN_PROGRESS, StageState.ON_HOLD, StageState.DONE),
        hold_reason="",
        **returned,
    )
    stages = stages_of(case)
    kinds = kinds_to_repeat(stages, to=to, last=stage)
    visit = _next_visit(case)
    added = _insert_visit(case, kinds, after=stage, visit=visit)
    record = Return.objects.create(
        case=case, from_stage=stage, to_stage=to, visit=visit, cause=cause, note=note.strip(), by=by, at=now
    )
    Case.objects.filter(pk=case.pk).update(
        current_stage=added[0],
        state=CaseState.OPEN,
        completed_at=None,
        location=_location_after_return(case),
    )
    # What a finished stage came to was told when it was finished.
    found = {"outcome": outcome} if outcome and outcome != stage.outcome else {}
    log(
        case,
        Act.SENT_BACK,
        by=by,
        now=now,
        stage=stage,
        before={"state": stage.state},
        after={
            "to": to.kind,
            "cause": cause,
            "visit": visit,
            "again": [str(kind) for kind in kinds],
            **found,
        },
        reason=note.strip(),
        of=[record],
    )
    return record


def _require_at_hand(case: Case, stage: Stage, by: User) -> None:
    """A practice sends back what it was handed; a manager also what still lies in the laboratory."""
    if by.is_clinician and stage.place == Place.CLINIC and case.location == Location.LABORATORY:
        raise Refused(_("The case has not been handed to the clinic yet."))


def _require_return(case: Case, stage: Stage, to: Stage, cause: str, note: str) -> None:
    if cause not in ReturnCause.values:
        raise Refused(_("Choose the cause from the list."))
    if cause == ReturnCause.OTHER and not note.strip():
        raise Refused(_("Say in the note why the work comes back."))
    if stage_to_return_from(case) != stage:
        words = _("{stage} is not where case {number} stands any more.")
        raise Conflict(words.format(stage=stage, number=case.number))
    if to not in stages_to_return_to(case):
        raise Refused(_("Work can be sent back only to an earlier laboratory stage of the same case."))


def _next_visit(case: Case) -> int:
    return (case.stages.aggregate(last=Max("visit"))["last"] or 0) + 1


def _insert_visit(case: Case, kinds: list[StageKind], *, after: Stage, visit: int) -> list[Stage]:
    later = Stage.objects.filter(case=case, position__gt=after.position)
    later.update(position=F("position") + ASIDE)
    Stage.objects.filter(case=case, position__gt=ASIDE).update(position=F("position") - ASIDE + len(kinds))
    return [
        Stage.objects.create(
            case=case, kind=kind, place=kind.place, visit=visit, position=after.position + offset
        )
        for offset, kind in enumerate(kinds, 1)
    ]


def _location_after_return(case: Case) -> str:
    return case.location if case.location == Location.LABORATORY else Location.TO_LABORATORY
