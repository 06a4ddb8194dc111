import datetime

import pytest
from django.utils import timezone

from labcases.cases.actions.moves import start_stage
from labcases.cases.choices import StageKind, StageState
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.planning.actions.giving import give
from labcases.planning.actions.improving import improve_proposal
from labcases.planning.actions.proposing import accept, decline, propose, stop_improving, try_again
from labcases.planning.choices import LineState, ProposalState
from labcases.planning.models import PlannedWork, Proposal
from labcases.planning.queries import proposals as reads
from labcases.planning.scheduling import improving
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.planning.laboratory import NOW, case_here, skilled, stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def crowded():
    """Two people and eight arrangements of 4.5 hours wanted on Wednesday: more work than time."""
    people = [skilled("arrangement"), skilled("arrangement")]
    cases = [case_here(starts_at=StageKind.TOOTH_ARRANGEMENT) for _ in range(8)]
    for case in cases:
        case.stages.filter(kind=StageKind.TRY_IN).update(due_on=datetime.date(2026, 3, 4))
        case.stages.filter(kind=StageKind.PROCESSING).update(state=StageState.SKIPPED)
    return people, cases


@pytest.fixture
def quiet():
    """One person and one case with all the time it needs."""
    person = skilled("arrangement", "processing")
    return person, case_here(starts_at=StageKind.TOOTH_ARRANGEMENT)


def work(case):
    return stage(case, StageKind.TOOTH_ARRANGEMENT)


def improved(proposal):
    outcome = improve_proposal.call(pk=proposal.pk, attempt=proposal.attempt)
    proposal.refresh_from_db()
    return outcome


def test_a_worker_that_has_to_end_leaves_the_proposal_to_the_next(crowded, manager, monkeypatch):
    class HasToEnd(BaseException):
        pass

    def ended(*args, **options):
        raise HasToEnd

    proposal = propose(by=manager, now=NOW)
    with monkeypatch.context() as patch:
        patch.setattr("labcases.planning.actions.improving.improve", ended)
        with pytest.raises(HasToEnd):
            improve_proposal.call(pk=proposal.pk, attempt=proposal.attempt)
    proposal.refresh_from_db()
    assert proposal.state == ProposalState.QUEUED
    assert not improved(proposal).startswith("not taken up")


def test_a_plan_without_lateness_is_ready_at_once(quiet, manager):
    person, case = quiet
    proposal = propose(by=manager, now=NOW)
    assert (proposal.state, proposal.cost, proposal.bound) == (ProposalState.READY, 0, 0)
    line = proposal.lines.get(stage=work(case))
    assert (line.person, line.state, line.starts_at) == (person, LineState.PROPOSED, NOW)
    row = line.proposal_case
    assert (row.case, row.late_days, row.cause) == (case, 0, "in time")
    assert row.words.startswith("Ready ")
    assert row.slack_minutes > 0


def test_an_overloaded_plan_is_there_at_once_and_queued_to_be_improved(
    crowded, manager, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as enqueued:
        proposal = propose(by=manager, now=NOW)
    assert proposal.state == ProposalState.QUEUED
    assert len(enqueued) == 1
    assert proposal.lines.count() == 8
    assert proposal.cost == proposal.greedy_cost > 0
    late = proposal.cases.filter(late_days__gt=0)
    assert late
    for row in late:
        assert (row.cause, row.skill) == ("too few hands", "arrangement")
        assert row.words.startswith("Waits ")
        assert row.first_day > row.wanted_on
    assert proposal.cases.filter(let_go=True)


def test_the_worker_improves_it_and_says_how_good_it_can_be(crowded, manager):
    proposal = propose(by=manager, now=NOW, seconds=1)
    assert improved(proposal) == "done"
    assert proposal.state == ProposalState.READY
    assert proposal.bound <= proposal.cost <= proposal.greedy_cost
    assert proposal.finished_at is not None
    assert proposal.beat_at is not None
    assert proposal.lines.count() == 8


def test_a_plan_is_accepted_whole(crowded, manager):
    proposal = propose(by=manager, now=NOW, seconds=1)
    accepted = accept(proposal=proposal, by=manager, now=NOW)
    assert (accepted.given, accepted.stale) == (8, ())
    for line in proposal.lines.all():
        made = line.stage
        made.refresh_from_db()
        assert line.state == LineState.ACCEPTED
        assert made.assignee == line.person
        assert made.planned_on == timezone.localdate(line.starts_at)
        planned = made.planned_work
        assert (planned.starts_at, planned.pinned) == (line.starts_at, False)
    proposal.refresh_from_db()
    assert proposal.state == ProposalState.DECIDED


def test_a_plan_is_accepted_in_part(crowded, manager):
    proposal = propose(by=manager, now=NOW)
    first, *rest = proposal.lines.all()
    assert accept(proposal=proposal, by=manager, now=NOW, lines=[first.pk]).given == 1
    proposal.refresh_from_db()
    assert proposal.state == ProposalState.READY
    assert set(proposal.lines.exclude(pk=first.pk).values_list("state", flat=True)) == {LineState.PROPOSED}
    assert PlannedWork.objects.count() == 1
    assert accept(proposal=proposal, by=manager, now=NOW).given == len(rest)


def test_a_plan_is_declined(crowded, manager):
    proposal = propose(by=manager, now=NOW)
    decline(proposal=proposal, by=manager)
    proposal.refresh_from_db()
    assert proposal.state == ProposalState.DECIDED
    assert not PlannedWork.objects.exists()
    with pytest.raises(Conflict):
        accept(proposal=proposal, by=manager, now=NOW)
    with pytest.raises(Conflict):
        decline(proposal=proposal, by=manager)


def test_what_was_changed_since_is_left_alone_and_named(crowded, manager):
    people, cases = crowded
    proposal = propose(by=manager, now=NOW)
    moved = work(cases[2])
    give(stages=[(moved, moved.version)], to=people[0], by=manager, now=NOW)
    accepted = accept(proposal=proposal, by=manager, now=NOW)
    assert accepted.given == 7
    assert accepted.stale == (str(moved),)
    assert proposal.lines.get(stage=moved).state == LineState.STALE
    assert PlannedWork.objects.get(stage=moved).pinned


def test_pinned_and_begun_work_stays_where_it_is(crowded, manager):
    people, cases = crowded
    pinned, begun = work(cases[0]), work(cases[1])
    give(
        stages=[(pinned, pinned.version)],
        to=people[1],
        by=manager,
        now=NOW,
        planned_on=datetime.date(2026, 3, 5),
    )
    start_stage(stage=begun, by=people[0], expected_version=begun.version, now=NOW)
    proposal = propose(by=manager, now=NOW, seconds=1)
    improved(proposal)
    line = proposal.lines.get(stage=pinned)
    assert (line.person, line.state) == (people[1], LineState.KEPT)
    assert timezone.localdate(line.starts_at) == datetime.date(2026, 3, 5)
    assert proposal.lines.get(stage=begun).state == LineState.KEPT
    assert accept(proposal=proposal, by=manager, now=NOW).given == 6


def test_a_new_proposal_closes_the_one_before(crowded, manager):
    first = propose(by=manager, now=NOW)
    second = propose(by=manager, now=NOW)
    first.refresh_from_db()
    assert first.state == ProposalState.DECIDED
    assert reads.latest_proposal() == second
    assert improved(first).startswith("not taken up")


def test_a_search_that_waits_is_stopped_at_once(crowded, manager):
    proposal = propose(by=manager, now=NOW)
    stop_improving(proposal=proposal, by=manager, now=NOW)
    proposal.refresh_from_db()
    assert proposal.state == ProposalState.READY
    assert improved(proposal).startswith("not taken up")
    with pytest.raises(Conflict):
        stop_improving(proposal=proposal, by=manager, now=NOW)


def test_a_running_search_is_stopped_and_keeps_its_best(crowded, manager, monkeypatch):
    proposal = propose(by=manager, now=NOW, seconds=60)

    def stop_when_seen(pk, attempt):
        if Proposal.objects.get(pk=pk).stop_asked_at is None:
            stop_improving(proposal=proposal, by=manager, now=NOW)
        return reads.stop_is_asked(pk, attempt)

    monkeypatch.setattr("labcases.planning.actions.improving.stop_is_asked", stop_when_seen)
    assert improved(proposal) == "stopped"
    assert proposal.state == ProposalState.READY
    assert proposal.lines.count() == 8


def test_a_search_that_fails_says_so_and_can_be_tried_again(crowded, manager, monkeypatch):
    proposal = propose(by=manager, now=NOW, seconds=1)

    def broken(*args, **kwargs):
        raise RuntimeError("planted")

    monkeypatch.setattr("labcases.planning.actions.improving.improve", broken)
    with pytest.raises(RuntimeError, match="planted"):
        improved(proposal)
    proposal.refresh_from_db()
    assert (proposal.state, proposal.failure) == (ProposalState.FAILED, "RuntimeError: planted")
    assert reads.may_be_tried_again(proposal, now=NOW)
    monkeypatch.setattr("labcases.planning.actions.improving.improve", improving.improve)
    try_again(proposal=proposal, by=manager, now=NOW)
    proposal.refresh_from_db()
    assert (proposal.state, proposal.attempt, proposal.failure) == (ProposalState.QUEUED, 2, "")
    assert improved(proposal) == "done"
    assert proposal.state == ProposalState.READY


def test_a_worker_that_died_is_seen_and_cannot_write_over_its_successor(crowded, manager):
    proposal = propose(by=manager, now=NOW, seconds=1)
    Proposal.objects.filter(pk=proposal.pk).update(state=ProposalState.RUNNING, beat_at=NOW)
    proposal.refresh_from_db()
    soon, later = (NOW + datetime.timedelta(seconds=seconds) for seconds in (20, 40))
    assert not reads.is_silent(proposal, now=soon)
    with pytest.raises(Conflict):
        try_again(proposal=proposal, by=manager, now=soon)
    assert reads.is_silent(proposal, now=later)
    try_again(proposal=proposal, by=manager, now=later)
    assert reads.stop_is_asked(proposal.pk, 1)
    assert improve_proposal.call(pk=proposal.pk, attempt=1).startswith("not taken up")
    proposal.refresh_from_db()
    assert improved(proposal) == "done"


def test_one_that_no_worker_takes_up_is_silent_too(crowded, manager):
    proposal = propose(by=manager, now=NOW)
    assert not reads.is_silent(proposal, now=NOW)
    assert reads.is_silent(proposal, now=NOW + datetime.timedelta(minutes=1))


def test_deciding_ends_a_search_under_way(crowded, manager):
    proposal = propose(by=manager, now=NOW)
    Proposal.objects.filter(pk=proposal.pk).update(state=ProposalState.RUNNING, beat_at=NOW)
    first = proposal.lines.first()
    accept(proposal=proposal, by=manager, now=NOW, lines=[first.pk])
    assert reads.stop_is_asked(proposal.pk, proposal.attempt)


def test_nothing_to_plan_and_nobody_to_plan_for_are_said_in_words(manager):
    with pytest.raises(Refused, match="no open laboratory work"):
        propose(by=manager, now=NOW)
    case_here()
    with pytest.raises(Refused, match="nobody at the bench"):
        propose(by=manager, now=NOW)


def test_accepting_nothing_is_refused(crowded, manager):
    proposal = propose(by=manager, now=NOW)
    with pytest.raises(Refused, match="at least one"):
        accept(proposal=proposal, by=manager, now=NOW, lines=[])


def test_late_cases_are_listed_first(crowded, manager):
    proposal = propose(by=manager, now=NOW)
    rows = reads.cases_of(proposal)
    days = [row.late_days for row in rows]
    assert days == sorted(days, reverse=True)
    assert all(row.lines.all() for row in rows)
    assert reads.proposal_by_id(proposal.pk) == proposal


def test_only_managers_propose_and_decide(crowded, manager):
    person = TechnicianFactory()
    proposal = propose(by=manager, now=NOW)
    for attempt in (
        lambda: propose(by=person, now=NOW),
        lambda: accept(proposal=proposal, by=person, now=NOW),
        lambda: decline(proposal=proposal, by=person),
        lambda: stop_improving(proposal=proposal, by=person, now=NOW),
        lambda: try_again(proposal=proposal, by=person, now=NOW),
    ):
        with pytest.raises(NotAllowed):
            attempt()
