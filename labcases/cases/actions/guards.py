"""How an action makes sure that it is the only one: lock the case, then update a row only as it was seen."""

import datetime
from collections.abc import Sequence
from typing import Any

from django.db.models import F, Model
from django.utils.translation import gettext as _

from labcases.cases.chain import Head, seal
from labcases.cases.choices import TOLD_OUTSIDE, CaseState
from labcases.cases.models import Case, Event, Stage, Untold
from labcases.cases.queries import last_event
from labcases.people.models import Laboratory, User
from labcases.people.refusals import Conflict
from labcases.prosthodontics.wording import in_a_sentence


def locked(case_id: int) -> Case:
    """The case, with its row locked until the transaction ends, so that moves of one case follow each other.

    SQLite ignores the row lock; there the transaction itself is IMMEDIATE and keeps all other writers out.
    """
    # Locked by itself and read afterwards: PostgreSQL joins a row that it waited for to the others as they were
    # before, and a current stage that moved on meanwhile would come back as none.
    Case.objects.select_for_update().only("pk").get(pk=case_id)
    return Case.objects.select_related("current_stage", "practice", "prescriber").get(pk=case_id)


def lock_laboratory() -> None:
    """Let one manager at a time change what belongs to the whole laboratory, until the transaction ends.

    Comparing with what the manager saw guards nothing while another change is on its way and not yet to be seen.
    """
    Laboratory.objects.select_for_update().filter(pk=1).first()


def require_not_cancelled(case: Case) -> None:
    """Refuse to work on a case that was cancelled, also where its stage still stands as it was left."""
    if case.state == CaseState.CANCELLED:
        words = _("Case {number} is cancelled; nothing more is done to it.")
        raise conflict_in(case, words.format(number=case.number))


def update_stage(stage: Stage, *, expected_version: int, states: tuple[str, ...], **changes: Any) -> None:
    """Change a stage's row if nobody has since the caller saw it, else raise Conflict with who and when."""
    changed = Stage.objects.filter(pk=stage.pk, version=expected_version, state__in=states).update(
        version=F("version") + 1, **changes
    )
    if not changed:
        raise stage_conflict(stage)


def update_case(case: Case, *, expected_version: int, **changes: Any) -> None:
    changed = Case.objects.filter(pk=case.pk, version=expected_version).update(
        version=F("version") + 1, **changes
    )
    if not changed:
        raise case_conflict(case)


def stage_conflict(stage: Stage) -> Conflict:
    now = Stage.objects.select_related("case", "finished_by").get(pk=stage.pk)
    event = last_event(now)
    words = _("{stage} is no longer as you saw it: it is now {state}.")
    return Conflict(
        words.format(stage=now, state=in_a_sentence(now.get_state_display())),
        who=str(event.by) if event else "",
        when=event.at if event else None,
        what=event.get_act_display() if event else "",
    )


def case_conflict(case: Case) -> Conflict:
    words = _("Case {number} was changed by somebody else while this page was open.")
    return conflict_in(case, words.format(number=case.number))


def conflict_in(case: Case, message: str) -> Conflict:
    """A conflict that names the last thing that happened to the case."""
    event = case.events.select_related("by").order_by("-position").first()
    return Conflict(
        message,
        who=str(event.by) if event else "",
        when=event.at if event else None,
        what=event.get_act_display() if event else "",
    )


def log(
    case: Case,
    act: str,
    *,
    by: User,
    now: datetime.datetime,
    stage: Stage | None = None,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
    reason: str = "",
    of: Sequence[Model] = (),
) -> Event:
    """Add an entry to the log of a case whose row the caller has locked; `of` are the rows that it stands for."""
    event = Event(
        case=case, stage=stage, act=act, by=by, at=now, before=before or {}, after=after or {}, reason=reason
    )
    # Read afresh: whoever holds the lock may have logged before, with another instance of the case.
    length, digest = Case.objects.values_list("log_length", "log_digest").get(pk=case.pk)
    head = seal([(event, of)], number=case.number, head=Head(length, digest))
    Event.objects.bulk_create([event])
    Case.objects.filter(pk=case.pk).update(log_length=head.length, log_digest=head.digest)
    if act in TOLD_OUTSIDE:
        Untold.objects.create(event=event)
    return event
