"""Proposals as the Plan page and the worker read them."""

import datetime

from django.db.models import Prefetch

from labcases.planning.choices import AT_WORK, OPEN_PROPOSALS, LineState, ProposalState
from labcases.planning.models import Proposal, ProposalCase, ProposalLine

# A worker says every second that it lives; after this long without a word it is taken for dead.
SILENCE = datetime.timedelta(seconds=30)


def latest_proposal() -> Proposal | None:
    """The newest proposal that is still to be decided."""
    return Proposal.objects.filter(state__in=OPEN_PROPOSALS).select_related("asked_by").first()


def proposal_by_id(pk: int) -> Proposal | None:
    return Proposal.objects.select_related("asked_by").filter(pk=pk).first()


def cases_of(proposal: Proposal) -> list[ProposalCase]:
    """What the proposal means for each case, with its lines: late ones first, then by when they are due."""
    lines = ProposalLine.objects.select_related("stage", "stage__case", "person")
    return list(
        proposal.cases.select_related("case", "case__practice")
        .prefetch_related(Prefetch("lines", lines))
        .order_by("-late_days", "due_at", "position")
    )


def is_silent(proposal: Proposal, *, now: datetime.datetime) -> bool:
    """Whether nobody seems to be at work on it: no worker took it up, or the one that did has died."""
    if proposal.state not in AT_WORK:
        return False
    return now - (proposal.beat_at or proposal.asked_at) > SILENCE


def shows_first_plan(proposal: Proposal) -> bool:
    """Whether its lines are still those of earliest due first: so it is until a search has ended well."""
    return proposal.state in (*AT_WORK, ProposalState.FAILED)


def may_be_tried_again(proposal: Proposal, *, now: datetime.datetime) -> bool:
    return proposal.state == ProposalState.FAILED or is_silent(proposal, now=now)


def stop_is_asked(pk: int, attempt: int) -> bool:
    """Whether the worker of this attempt should stop: asked to, or no longer the one in charge."""
    return not Proposal.objects.filter(
        pk=pk, attempt=attempt, state=ProposalState.RUNNING, stop_asked_at__isnull=True
    ).exists()


def open_lines(proposal: Proposal, ids: list[int] | None) -> list[ProposalLine]:
    """Lines still to be decided: all, or those of the given ids."""
    lines = ProposalLine.objects.filter(proposal=proposal, state=LineState.PROPOSED)
    if ids is not None:
        lines = lines.filter(pk__in=ids)
    return list(
        lines.select_related("stage", "stage__case", "person").order_by("stage__case_id", "starts_at")
    )
