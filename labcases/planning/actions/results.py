"""A plan as rows of a proposal."""

import datetime

from django.db import transaction

from labcases.planning.choices import LineState
from labcases.planning.models import Proposal, ProposalCase, ProposalLine
from labcases.planning.queries.load import Leg, Load
from labcases.planning.scheduling.explaining import Explanation, explain
from labcases.planning.scheduling.plans import Placement, Plan
from labcases.planning.scheduling.relieving import relieve
from labcases.planning.working_time import NoWorkingTime


@transaction.atomic
def write_result(*, proposal: Proposal, load: Load, plan: Plan, greedy_cost: int, bound: int) -> None:
    """Replace the proposal's rows by this plan's. A line for a day after the planned ones is not proposed."""
    ProposalLine.objects.filter(proposal=proposal).delete()
    ProposalCase.objects.filter(proposal=proposal).delete()
    Proposal.objects.filter(pk=proposal.pk).update(
        greedy_cost=greedy_cost, cost=plan.cost, bound=min(bound, plan.cost)
    )
    let_go = {job.key for job in relieve(plan).let_go}
    lines = []
    for position, explanation in enumerate(explain(plan)):
        leg = load.legs[explanation.job.key]
        row = _case_row(proposal, position, leg, explanation, load, let_go)
        row.save(force_insert=True)
        for placement in plan.of(explanation.job):
            if placement.start < load.problem.horizon:
                lines.append(_line(proposal, row, leg, placement))
    ProposalLine.objects.bulk_create(lines)


def _case_row(
    proposal: Proposal, position: int, leg: Leg, explanation: Explanation, load: Load, let_go: set[int]
) -> ProposalCase:
    slack = explanation.slack
    return ProposalCase(
        proposal=proposal,
        case=leg.case,
        position=position,
        wanted_on=leg.wanted_on,
        due_at=leg.job.due,
        ready_at=explanation.ready,
        first_day=_first_day(leg, explanation, load),
        slack_minutes=None if slack is None else round(slack),
        late_days=explanation.late_days,
        weight=leg.job.weight,
        cause=explanation.cause,
        skill=explanation.skill,
        words=explanation.words[:600],
        let_go=leg.job.key in let_go,
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
        stage=stage,
        stage_version=stage.version,
        person_id=placement.person,
        starts_at=placement.start,
        ends_at=placement.end,
        state=LineState.KEPT if is_kept else LineState.PROPOSED,
    )
