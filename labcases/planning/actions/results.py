"""A plan as rows of a proposal."""

import datetime
from dataclasses import dataclass

from django.conf import settings
from django.db import transaction
from django.utils import translation

from labcases.planning.choices import LineState
from labcases.planning.models import Proposal, ProposalCase, ProposalLine
from labcases.planning.queries.load import Leg, Load
from labcases.planning.scheduling.explaining import Explanation, explain
from labcases.planning.scheduling.plans import Placement, Plan
from labcases.planning.scheduling.relieving import relieve
from labcases.planning.working_time import NoWorkingTime


@dataclass(frozen=True)
class Result:
    """A plan with all that is said about it, worked out before a transaction is begun."""

    load: Load
    plan: Plan
    greedy_cost: int
    bound: int
    explanations: tuple[Explanation, ...]
    let_go: frozenset[int]


def work_out(load: Load, plan: Plan, *, greedy_cost: int, bound: int = 0) -> Result:
    let_go = frozenset(job.key for job in relieve(plan).let_go)
    return Result(load, plan, greedy_cost, min(bound, plan.cost), explain(plan), let_go)


@transaction.atomic
def write_result(result: Result, *, proposal: Proposal) -> None:
    """Replace the proposal's rows by this plan's. A line for a day after the planned ones is not proposed."""
    ProposalLine.objects.filter(proposal=proposal).delete()
    ProposalCase.objects.filter(proposal=proposal).delete()
    Proposal.objects.filter(pk=proposal.pk).update(
        greedy_cost=result.greedy_cost, cost=result.plan.cost, bound=result.bound
    )
    rows = ProposalCase.objects.bulk_create(
        _case_row(proposal, position, explanation, result)
        for position, explanation in enumerate(result.explanations)
    )
    ProposalLine.objects.bulk_create(
        _line(proposal, row, result.load.legs[explanation.job.key], placement)
        for row, explanation in zip(rows, result.explanations, strict=True)
        for placement in result.plan.of(explanation.job)
        if placement.start < result.load.problem.horizon
    )


def _case_row(proposal: Proposal, position: int, explanation: Explanation, result: Result) -> ProposalCase:
    leg = result.load.legs[explanation.job.key]
    slack = explanation.slack
    with translation.override(settings.LANGUAGE_CODE):
        words = explanation.words
    return ProposalCase(
        proposal=proposal,
        case_id=leg.case.pk,
        position=position,
        wanted_on=leg.wanted_on,
        due_at=leg.job.due,
        ready_at=explanation.ready,
        first_day=_first_day(leg, explanation, result.load),
        slack_minutes=None if slack is None else round(slack),
        late_days=explanation.late_days,
        weight=leg.job.weight,
        cause=explanation.cause,
        skill=explanation.skill,
        words=words[:600],
        let_go=leg.job.key in result.let_go,
    )


def _first_day(leg: Leg, explanation: Explanation, load: Load) -> datetime.date | None:
    """The first day to which a visit can be moved if this plan is followed."""
    if explanation.ready is None:
        return None
    try:
        return load.transport_of(leg.case).first_appointment(explanation.ready, load.problem.calendar)
    except NoWorkingTime:
        return None


def _line(proposal: Proposal, row: ProposalCase, leg: Leg, placement: Placement) -> ProposalLine:
    stage = next(stage for stage in leg.stages if stage.pk == placement.work.key)
    is_kept = placement.work.fixed_to is not None
    return ProposalLine(
        proposal=proposal,
        proposal_case=row,
        stage_id=stage.pk,
        stage_version=stage.version,
        person_id=placement.person,
        starts_at=placement.start,
        ends_at=placement.end,
        state=LineState.KEPT if is_kept else LineState.PROPOSED,
    )
