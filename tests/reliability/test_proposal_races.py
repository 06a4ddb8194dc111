"""A proposed plan is decided once, whoever else gives out work at that moment."""

import pytest

from labcases.cases.actions.assigning import assign
from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Event, Stage
from labcases.people.refusals import Conflict
from labcases.planning.actions.proposing import Accepted, accept, decline, propose
from labcases.planning.choices import LineState, ProposalState
from labcases.planning.models import PlannedWork, ProposalLine
from tests.factories.people import LaboratoryFactory, ManagerFactory
from tests.planning.laboratory import NOW, case_here, skilled, stage
from tests.reliability.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)

ROUNDS = range(4)


@pytest.fixture
def managers():
    LaboratoryFactory()
    return ManagerFactory(), ManagerFactory()


@pytest.fixture
def proposal(managers):
    skilled("arrangement", "processing")
    for _ in range(4):
        case_here(starts_at=StageKind.TOOTH_ARRANGEMENT)
    return propose(by=managers[0], now=NOW)


@pytest.mark.parametrize("round", ROUNDS)
def test_of_two_who_accept_a_plan_at_once_one_gives_it_out(proposal, managers, round):
    lines = ProposalLine.objects.filter(proposal=proposal).count()
    answers = at_once(*[lambda by=by: accept(proposal=proposal, by=by, now=NOW) for by in managers])
    (given,) = [answer for answer in answers if isinstance(answer, Accepted)]
    (lost,) = [answer for answer in answers if answer is not given]
    assert isinstance(lost, Conflict)
    assert (given.given, given.stale) == (lines, ())
    assert PlannedWork.objects.count() == Event.objects.filter(act=Act.ASSIGNED).count() == lines
    proposal.refresh_from_db()
    assert proposal.state == ProposalState.DECIDED


@pytest.mark.parametrize("round", ROUNDS)
def test_a_plan_is_accepted_or_declined_but_not_both(proposal, managers, round):
    answers = at_once(
        lambda: accept(proposal=proposal, by=managers[0], now=NOW),
        lambda: decline(proposal=proposal, by=managers[1]),
    )
    assert sum(isinstance(answer, Conflict) for answer in answers) == 1
    states = set(ProposalLine.objects.filter(proposal=proposal).values_list("state", flat=True))
    assert states == {LineState.DECLINED if isinstance(answers[0], Conflict) else LineState.ACCEPTED}
    assert bool(PlannedWork.objects.count()) == (states == {LineState.ACCEPTED})


@pytest.mark.parametrize("round", ROUNDS)
def test_a_stage_given_out_by_hand_at_that_moment_is_given_once(proposal, managers, round):
    """From the other end of the plan, so that the two would wait for each other if either kept its own order."""
    other = skilled("arrangement", "processing")
    by_hand = [stage(line.stage.case, line.stage.kind) for line in proposal.lines.order_by("-stage__case_id")]
    accepted, assigned = at_once(
        lambda: accept(proposal=proposal, by=managers[0], now=NOW),
        lambda: assign(stages=[(each, each.version) for each in by_hand], to=other, by=managers[1], now=NOW),
    )
    assert isinstance(accepted, Accepted)
    hands = set(Stage.objects.filter(pk__in=[each.pk for each in by_hand]).values_list("assignee", flat=True))
    if isinstance(assigned, Conflict):
        assert (accepted.stale, hands) == ((), {proposal.lines.first().person_id})
    else:
        assert (accepted.given, assigned, hands) == (0, len(by_hand), {other.pk})
    assert Event.objects.filter(act=Act.ASSIGNED).count() == len(by_hand)
