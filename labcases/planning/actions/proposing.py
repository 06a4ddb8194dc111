"""Asking for a plan, stopping or repeating its improvement, and accepting it whole, in part or not at all."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from labcases.cases.actions.assigning import assign
from labcases.people.models import User
from labcases.people.refusals import Conflict, Refused
from labcases.planning.actions.guards import only_managers
from labcases.planning.actions.improving import improve_proposal
from labcases.planning.actions.results import Result, work_out, write_result
from labcases.planning.choices import AT_WORK, OPEN_PROPOSALS, LineState, ProposalState
from labcases.planning.models import PlannedWork, Proposal, ProposalLine
from labcases.planning.queries.load import DAYS, read_load
from labcases.planning.queries.proposals import may_be_tried_again, open_lines
from labcases.planning.scheduling.greedy import earliest_due_first

SECONDS = 10


def first_plan(*, now: datetime.datetime, days: int = DAYS) -> Result:
    """Earliest due first, with all that is said about it: worked out before any row is locked."""
    load = read_load(now=now, days=days)
    if not load.legs:
        raise Refused(_("There is no open laboratory work to plan."))
    if not load.problem.people:
        raise Refused(_("There is nobody at the bench to give work to."))
    plan = earliest_due_first(load.problem)
    return work_out(load, plan, greedy_cost=plan.cost)


@transaction.atomic
def propose(
    *, by: User, now: datetime.datetime, first: Result | None = None, seconds: int = SECONDS
) -> Proposal:
    """Propose who does what for the next working days: `first` at once, improved in the background.

    An older proposal that is still open is closed: two plans at once would contradict each other.
    """
    only_managers(by)
    first = first or first_plan(now=now)
    Proposal.objects.filter(state__in=OPEN_PROPOSALS).update(
        state=ProposalState.DECIDED, version=F("version") + 1
    )
    planned = first.load.problem.planned_days
    nothing_to_gain = first.plan.cost == 0
    proposal = Proposal.objects.create(
        state=ProposalState.READY if nothing_to_gain else ProposalState.QUEUED,
        asked_by=by,
        asked_at=now,
        first_day=planned[0],
        last_day=planned[-1],
        seconds=seconds,
        finished_at=now if nothing_to_gain else None,
    )
    write_result(first, proposal=proposal)
    if not nothing_to_gain:
        _enqueue(proposal.pk, proposal.attempt)
    proposal.refresh_from_db()
    return proposal


def _enqueue(pk: int, attempt: int) -> None:
    transaction.on_commit(lambda: improve_proposal.enqueue(pk=pk, attempt=attempt))


@transaction.atomic
def stop_improving(*, proposal: Proposal, by: User, now: datetime.datetime) -> None:
    """Stop the search; the best plan so far is kept. One that no worker has taken up is ready at once."""
    only_managers(by)
    stopped = Proposal.objects.filter(pk=proposal.pk, state=ProposalState.QUEUED).update(
        state=ProposalState.READY, stop_asked_at=now, finished_at=now, version=F("version") + 1
    )
    asked = Proposal.objects.filter(pk=proposal.pk, state=ProposalState.RUNNING).update(
        stop_asked_at=now, version=F("version") + 1
    )
    if not (stopped or asked):
        raise Conflict(_("The search had already ended."))


@transaction.atomic
def try_again(*, proposal: Proposal, by: User, now: datetime.datetime) -> None:
    """Begin improving anew after it failed or its worker died; the old attempt can write nothing any more."""
    only_managers(by)
    fresh = Proposal.objects.select_for_update().get(pk=proposal.pk)
    if not may_be_tried_again(fresh, now=now):
        raise Conflict(_("The search goes on, or has ended well."))
    begun = Proposal.objects.filter(pk=fresh.pk, attempt=fresh.attempt, state=fresh.state).update(
        state=ProposalState.QUEUED,
        attempt=F("attempt") + 1,
        asked_at=now,
        beat_at=None,
        stop_asked_at=None,
        finished_at=None,
        progress_seconds=0,
        failure="",
        version=F("version") + 1,
    )
    if not begun:
        raise Conflict(_("Somebody else has begun the search anew."))
    _enqueue(fresh.pk, fresh.attempt + 1)


@dataclass(frozen=True)
class Accepted:
    """How many stages were given out, and those that were changed by somebody since, which were left alone."""

    given: int
    stale: tuple[str, ...]


@transaction.atomic
def accept(
    *, proposal: Proposal, by: User, now: datetime.datetime, lines: list[int] | None = None
) -> Accepted:
    """Give out the stages of these lines (None: of all that are still proposed) as the proposal has them.

    Each stage is given only if it is as the planner saw it; what has been moved, given or finished since is
    left as it is and named.
    """
    only_managers(by)
    if lines is not None and not lines:
        raise Refused(_("Tick at least one line to accept."))
    _require_decidable(proposal)
    given, stale = [], []
    for line in open_lines(proposal, lines):
        (given if _accept_line(line, by=by, now=now) else stale).append(line)
    _settle(given, LineState.ACCEPTED)
    _settle(stale, LineState.STALE)
    PlannedWork.objects.filter(stage__in=[line.stage_id for line in given]).delete()
    PlannedWork.objects.bulk_create(
        PlannedWork(
            stage=line.stage,
            person=line.person,
            starts_at=line.starts_at,
            ends_at=line.ends_at,
            by=by,
            at=now,
        )
        for line in given
    )
    if not ProposalLine.objects.filter(proposal=proposal, state=LineState.PROPOSED).exists():
        _close(proposal)
    return Accepted(len(given), tuple(str(line.stage) for line in stale))


def _require_decidable(proposal: Proposal) -> None:
    """A search still under way is ended by deciding: it must not replace lines that are being accepted."""
    decided = Proposal.objects.filter(pk=proposal.pk, state__in=OPEN_PROPOSALS).update(
        state=ProposalState.READY, version=F("version") + 1
    )
    if not decided:
        raise Conflict(_("This proposal was decided by somebody else, or a newer one has replaced it."))


def _accept_line(line: ProposalLine, *, by: User, now: datetime.datetime) -> bool:
    try:
        with transaction.atomic():
            assign(
                stages=[(line.stage, line.stage_version)],
                to=line.person,
                by=by,
                now=now,
                planned_on=line.starts_at.astimezone(timezone.get_default_timezone()).date(),
            )
    except Refused:
        return False
    return True


def _settle(lines: Iterable[ProposalLine], state: str) -> None:
    ProposalLine.objects.filter(pk__in=[line.pk for line in lines]).update(state=state)


@transaction.atomic
def decline(*, proposal: Proposal, by: User) -> None:
    """Close a proposal without taking what is left of it."""
    only_managers(by)
    # The proposal first, as when one is accepted: in another order the two would wait for each other.
    if not _close(proposal):
        raise Conflict(_("This proposal was decided by somebody else."))
    ProposalLine.objects.filter(proposal=proposal, state=LineState.PROPOSED).update(state=LineState.DECLINED)


def _close(proposal: Proposal) -> bool:
    return bool(
        Proposal.objects.filter(pk=proposal.pk, state__in=(*OPEN_PROPOSALS, *AT_WORK)).update(
            state=ProposalState.DECIDED, version=F("version") + 1
        )
    )
