"""Work that comes back: what is done again, where the case is then, and what stays of what was done."""

import datetime

import pytest

from labcases.cases.actions.crossings import accept_at_clinic, hand_to_clinic
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.moves import hold_stage
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import Act, CaseState, Location, ReturnCause, StageKind, StageState
from labcases.cases.models import Case, Return, Stage
from labcases.cases.queries import stage_to_return_from, stages_to_return_to
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.cases.walking import current, only_event_since, receive, start, walk_to, walk_to_the_end
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

LATER = NOW + datetime.timedelta(days=3)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def clinician():
    return ClinicianFactory()


@pytest.fixture
def case(clinician):
    return taken_in_case(prescriber=clinician, starts_at=StageKind.MASTER_CAST)


@pytest.fixture
def at_try_in(case, manager):
    """Out at the clinic for its try-in."""
    walk_to(case, StageKind.TRY_IN, manager)
    hand_to_clinic(case=case, by=manager, now=NOW)
    accept_at_clinic(case=case, by=manager, now=NOW)
    return current(case)


def earlier(case, kind):
    return case.stages.filter(kind=kind).order_by("-position").first()


def back(stage, to, by, **said):
    given = {
        "cause": ReturnCause.MIDLINE,
        "note": "2 mm to the right",
        "expected_version": stage.version,
        "now": LATER,
    }
    return send_back(stage=stage, to=earlier(stage.case, to), by=by, **(given | said))


def way(case):
    return list(case.stages.order_by("position").values_list("kind", "visit", "state"))


def test_the_stages_to_repeat_become_the_next_visit_and_history_stays(case, at_try_in, clinician):
    before, events = way(case), case.events.count()
    record = back(at_try_in, StageKind.TOOTH_ARRANGEMENT, clinician, outcome="Midline off")
    here = before.index(("try_in", 1, "waiting"))
    assert way(case) == [
        *before[:here],
        ("try_in", 1, "returned"),
        ("tooth_arrangement", 2, "waiting"),
        ("try_in", 2, "waiting"),
        *before[here + 1 :],
    ]
    case.refresh_from_db()
    assert (case.location, case.state) == (Location.TO_LABORATORY, CaseState.OPEN)
    assert (case.current_stage.kind, case.current_stage.visit) == ("tooth_arrangement", 2)
    ended = Stage.objects.get(pk=at_try_in.pk)
    assert (ended.finished_by, ended.finished_at, ended.outcome) == (clinician, LATER, "Midline off")
    assert (record.from_stage, record.to_stage.kind, record.visit) == (ended, "tooth_arrangement", 2)
    event = only_event_since(case, events)
    assert (event.act, event.by, event.at, event.stage) == (Act.SENT_BACK, clinician, LATER, ended)
    assert event.reason == "2 mm to the right"
    assert event.before == {"state": "waiting"}
    assert event.after == {
        "to": "tooth_arrangement",
        "cause": "midline",
        "visit": 2,
        "again": ["tooth_arrangement", "try_in"],
        "outcome": "Midline off",
    }


def test_everything_between_is_done_again_each_once(case, at_try_in, clinician):
    back(at_try_in, StageKind.OCCLUSION_RIMS, clinician)
    again = [kind for kind, visit, _ in way(case) if visit == 2]
    assert again == ["occlusion_rims", "jaw_relation", "tooth_arrangement", "try_in"]


def test_a_second_return_is_the_third_visit_and_repeats_nothing_twice(case, at_try_in, manager):
    back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager)
    walk_to(case, StageKind.TRY_IN, manager)
    hand_to_clinic(case=case, by=manager, now=NOW)
    back(current(case), StageKind.OCCLUSION_RIMS, manager)
    third = [kind for kind, visit, _ in way(case) if visit == 3]
    assert third == ["occlusion_rims", "jaw_relation", "tooth_arrangement", "try_in"]
    assert [each.visit for each in case.returns.order_by("at", "pk")] == [2, 3]
    positions = case.stages.order_by("position").values_list("position", flat=True)
    assert list(positions) == list(range(1, len(positions) + 1))


def test_the_second_visit_is_finished_like_the_first(case, at_try_in, manager):
    back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager)
    done = walk_to_the_end(case, manager, now=LATER)
    assert done.state == CaseState.COMPLETE
    assert {state for _, _, state in way(case)} == {"done", "returned", "skipped"}


def test_a_technician_sends_bench_work_back_and_it_stays_in_the_laboratory(case, manager):
    technician = TechnicianFactory()
    stage = start(walk_to(case, StageKind.OCCLUSION_RIMS, manager), technician)
    back(stage, StageKind.RECORD_BASE, technician, cause=ReturnCause.BASE_UNSTABLE, note="")
    case.refresh_from_db()
    assert (case.location, case.current_stage.kind) == (Location.LABORATORY, StageKind.RECORD_BASE)
    assert [kind for kind, visit, _ in way(case) if visit == 2] == ["record_base", "occlusion_rims"]
    start(current(case), technician)


def test_work_sent_back_while_on_hold_leaves_no_hold_behind(case, manager):
    stage = start(walk_to(case, StageKind.OCCLUSION_RIMS, manager), manager)
    hold_stage(stage=stage, by=manager, expected_version=stage.version, reason="Base rocks", now=NOW)
    stage.refresh_from_db()
    back(stage, StageKind.RECORD_BASE, manager)
    stage.refresh_from_db()
    assert (stage.state, stage.hold_reason) == (StageState.RETURNED, "")


def test_a_complete_case_can_come_back_from_its_insertion(case, manager, clinician):
    walk_to_the_end(case, manager)
    insertion = earlier(case, StageKind.INSERTION)
    back(insertion, StageKind.PROCESSING, clinician, cause=ReturnCause.FRACTURE)
    case.refresh_from_db()
    assert (case.state, case.completed_at, case.location) == (
        CaseState.OPEN,
        None,
        Location.TO_LABORATORY,
    )
    assert [kind for kind, visit, _ in way(case) if visit == 2] == ["processing", "insertion"]
    receive(case, manager)
    start(current(case), manager)


# ---- who, and where to ----


def test_a_practice_sends_back_its_own_cases_only(at_try_in):
    with pytest.raises(NotAllowed):
        back(at_try_in, StageKind.TOOTH_ARRANGEMENT, ClinicianFactory())
    with pytest.raises(NotAllowed):
        back(at_try_in, StageKind.TOOTH_ARRANGEMENT, TechnicianFactory())


def test_a_practice_sends_back_nothing_that_it_was_not_handed(case, manager, clinician):
    stage = walk_to(case, StageKind.TRY_IN, manager)
    with pytest.raises(Refused, match="not been handed"):
        back(stage, StageKind.TOOTH_ARRANGEMENT, clinician)


def test_a_manager_takes_back_what_still_lies_in_the_laboratory(case, manager):
    stage = walk_to(case, StageKind.TRY_IN, manager)
    back(stage, StageKind.TOOTH_ARRANGEMENT, manager)
    assert Case.objects.get(pk=case.pk).location == Location.LABORATORY
    start(current(case), manager)


def test_work_goes_back_to_any_earlier_laboratory_stage_that_was_done(at_try_in):
    assert [stage.kind for stage in stages_to_return_to(at_try_in.case)] == [
        "tooth_arrangement",
        "occlusion_rims",
        "record_base",
        "master_cast",
    ]


@pytest.mark.parametrize(
    "kind", [StageKind.JAW_RELATION, StageKind.PROCESSING, StageKind.CUSTOM_TRAY, StageKind.TRY_IN]
)
def test_work_does_not_go_back_to_the_clinic_forwards_to_itself_or_to_what_was_never_done(
    at_try_in, manager, kind
):
    with pytest.raises(Refused, match="earlier laboratory stage"):
        back(at_try_in, kind, manager)
    assert not Return.objects.exists()


def test_work_does_not_go_back_to_a_stage_of_another_case(at_try_in, manager):
    other = taken_in_case(starts_at=StageKind.MASTER_CAST)
    walk_to(other, StageKind.RECORD_BASE, manager)
    with pytest.raises(Refused, match="same case"):
        send_back(
            stage=at_try_in,
            to=earlier(other, StageKind.MASTER_CAST),
            cause=ReturnCause.CAST,
            note="",
            by=manager,
            expected_version=at_try_in.version,
            now=LATER,
        )


def test_only_the_latest_of_a_repeated_stage_is_offered(case, at_try_in, manager):
    back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager)
    walk_to(case, StageKind.TRY_IN, manager)
    offered = stages_to_return_to(Case.objects.get(pk=case.pk))
    assert [(stage.kind, stage.visit) for stage in offered][:2] == [
        ("tooth_arrangement", 2),
        ("occlusion_rims", 1),
    ]


# ---- the cause ----


@pytest.mark.parametrize("cause", ["", "bad luck", "MIDLINE"])
def test_the_cause_is_one_of_the_list(at_try_in, manager, cause):
    with pytest.raises(Refused, match="from the list"):
        back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager, cause=cause)


def test_another_cause_is_explained(at_try_in, manager):
    with pytest.raises(Refused, match="in the note"):
        back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager, cause=ReturnCause.OTHER, note="  ")
    back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager, cause=ReturnCause.OTHER, note="Dropped")


# ---- somebody was first ----


def test_work_is_sent_back_once(case, at_try_in, manager, clinician):
    back(at_try_in, StageKind.TOOTH_ARRANGEMENT, clinician)
    before = way(case)
    with pytest.raises(Conflict, match="not where case"):
        back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager)
    assert (way(case), Return.objects.count()) == (before, 1)


def test_an_old_version_sends_nothing_back(case, at_try_in, manager):
    with pytest.raises(Conflict):
        back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager, expected_version=at_try_in.version - 1)
    assert not Return.objects.exists()
    assert len({visit for _, visit, _ in way(case)}) == 1


def test_nothing_comes_back_of_a_cancelled_case(case, at_try_in, manager):
    case.refresh_from_db()
    cancel_case(case=case, by=manager, reason="Moved", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict):
        back(at_try_in, StageKind.TOOTH_ARRANGEMENT, manager)
    case.refresh_from_db()
    assert (stage_to_return_from(case), stages_to_return_to(case)) == (None, [])
