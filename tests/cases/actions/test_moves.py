"""Start, finish, hold, take up again, leave out: who may, in what order, and what the log keeps."""

import datetime

import pytest

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.moves import finish_stage, hold_stage, resume_stage, skip_stage, start_stage
from labcases.cases.choices import Act, CaseState, Location, StageKind, StageState
from labcases.cases.models import Case, Stage
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.cases.walking import (
    current,
    finish,
    only_event_since,
    pass_stage,
    receive,
    start,
    walk_to,
    walk_to_the_end,
)
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

LATER = NOW + datetime.timedelta(hours=1)


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def clinician():
    return ClinicianFactory()


@pytest.fixture
def case(technician, clinician):
    """At the laboratory, its rims waiting."""
    case = taken_in_case(prescriber=clinician, starts_at=StageKind.OCCLUSION_RIMS)
    receive(case, technician)
    return Case.objects.get(pk=case.pk)


def again(stage):
    return Stage.objects.with_case().get(pk=stage.pk)


# ---- start ----


def test_starting_takes_the_stage_and_copies_its_checklist(case, technician):
    before = case.events.count()
    stage = start(current(case), technician, now=LATER)
    assert (stage.state, stage.started_at, stage.assignee, stage.version) == (
        StageState.IN_PROGRESS,
        LATER,
        technician,
        2,
    )
    assert stage.steps.count() > 3
    event = only_event_since(case, before)
    assert (event.act, event.by, event.at, event.stage) == (Act.STARTED, technician, LATER, stage)
    assert (event.before, event.after) == (
        {"state": "waiting", "assignee": None},
        {"assignee": technician.pk},
    )


def test_a_stage_given_to_somebody_stays_theirs_whoever_starts_it(case, technician, manager):
    owner = TechnicianFactory()
    Stage.objects.filter(pk=case.current_stage_id).update(assignee=owner)
    assert start(current(case), technician).assignee == owner


def test_a_stage_is_started_once(case, technician, manager):
    stage = current(case)
    start(stage, technician, now=LATER)
    with pytest.raises(Conflict) as conflict:
        start(stage, manager)
    assert (conflict.value.who, conflict.value.when) == (str(technician), LATER)
    assert conflict.value.what == "Stage started"
    assert again(stage).assignee == technician


def test_an_earlier_stage_comes_first(case, technician):
    later = case.stages.get(kind=StageKind.TOOTH_ARRANGEMENT)
    with pytest.raises(Refused, match="earlier stage"):
        start(again(later), technician)
    assert again(later).state == StageState.WAITING


def test_work_is_not_started_before_it_was_received(technician):
    case = taken_in_case(starts_at=StageKind.OCCLUSION_RIMS)
    with pytest.raises(Refused, match="not been received"):
        start(current(case), technician)
    receive(case, technician)
    start(current(case), technician)


def test_an_incomplete_prescription_does_not_go_to_the_bench(technician):
    case = taken_in_case(starts_at=StageKind.OCCLUSION_RIMS, base_material="")
    receive(case, technician)
    with pytest.raises(Refused, match="incomplete"):
        start(current(case), technician)
    assert current(case).state == StageState.WAITING


def test_a_clinic_stage_is_not_started_while_the_work_lies_in_the_laboratory(case, technician, clinician):
    stage = walk_to(case, StageKind.JAW_RELATION, technician)
    with pytest.raises(Refused, match="not been handed"):
        start(stage, clinician)
    with pytest.raises(Refused, match="not been handed"):
        finish(stage, clinician)
    hand_to_clinic(case=case, by=technician, now=NOW)
    start(stage, clinician)


def test_only_the_laboratory_works_at_its_stages(case, clinician):
    with pytest.raises(NotAllowed):
        start(current(case), clinician)


@pytest.mark.parametrize("who", ["technician", "clinician of another practice"])
def test_only_the_practice_records_its_stages(case, technician, clinician, who):
    stage = walk_to(case, StageKind.JAW_RELATION, technician)
    hand_to_clinic(case=case, by=technician, now=NOW)
    someone = technician if who == "technician" else ClinicianFactory()
    with pytest.raises(NotAllowed):
        finish(stage, someone)
    finish(stage, clinician)


# ---- finish ----


def test_finishing_points_the_case_at_its_next_stage(case, technician):
    stage = start(current(case), technician)
    before = case.events.count()
    done = finish(stage, technician, now=LATER, outcome="Even contact", reason="")
    assert (done.state, done.finished_at, done.finished_by) == (StageState.DONE, LATER, technician)
    assert done.outcome == "Even contact"
    case.refresh_from_db()
    assert (case.current_stage.kind, case.location) == (StageKind.JAW_RELATION, Location.LABORATORY)
    event = only_event_since(case, before)
    assert (event.act, event.by, event.at, event.stage) == (Act.FINISHED, technician, LATER, stage)
    assert event.before == {"state": "in_progress"}
    assert event.after["next"] == "jaw_relation"
    assert event.after["steps_not_ticked"] == list(stage.steps.values_list("text", flat=True))


def test_bench_work_is_started_before_it_is_finished(case, technician):
    stage = current(case)
    with pytest.raises(Conflict):
        finish(stage, technician)
    assert again(stage).state == StageState.WAITING


def test_a_stage_on_hold_is_taken_up_again_before_it_is_finished(case, technician):
    stage = start(current(case), technician)
    hold_stage(stage=stage, by=technician, expected_version=2, reason="Wax is short", now=NOW)
    with pytest.raises(Conflict):
        finish(again(stage), technician)


def test_a_stage_is_finished_once(case, technician, manager):
    stage = start(current(case), technician)
    finish(stage, technician, now=LATER)
    with pytest.raises(Conflict) as conflict:
        finish(stage, manager)
    assert (conflict.value.who, conflict.value.when) == (str(technician), LATER)
    assert case.events.filter(act=Act.FINISHED).count() == 1


def test_a_clinic_stage_needs_no_start_and_sends_the_work_to_the_laboratory(case, technician, clinician):
    stage = walk_to(case, StageKind.JAW_RELATION, technician)
    hand_to_clinic(case=case, by=technician, now=NOW)
    assert finish(stage, clinician).state == StageState.DONE
    case.refresh_from_db()
    assert (case.location, case.current_stage.kind) == (Location.TO_LABORATORY, StageKind.TOOTH_ARRANGEMENT)


def test_the_last_stage_completes_the_case(case, manager):
    done = walk_to_the_end(case, manager, now=LATER)
    assert (done.state, done.current_stage, done.completed_at) == (CaseState.COMPLETE, None, LATER)


# ---- hold and take up again ----


def test_a_hold_says_why_and_is_taken_up_again(case, technician):
    stage = start(current(case), technician)
    before = case.events.count()
    hold_stage(stage=stage, by=technician, expected_version=2, reason="  Shade is missing ", now=LATER)
    held = again(stage)
    assert (held.state, held.hold_reason, held.version) == (StageState.ON_HOLD, "Shade is missing", 3)
    event = only_event_since(case, before)
    assert (event.act, event.reason, event.at, event.by) == (Act.HELD, "Shade is missing", LATER, technician)
    resume_stage(stage=held, by=technician, expected_version=3, now=LATER)
    assert (again(stage).state, again(stage).hold_reason) == (StageState.IN_PROGRESS, "")
    event = only_event_since(case, before + 1)
    assert (event.act, event.before) == (Act.RESUMED, {"hold_reason": "Shade is missing"})


@pytest.mark.parametrize("reason", ["", "   ", "\n"])
def test_a_hold_without_a_reason_is_refused(case, technician, reason):
    stage = start(current(case), technician)
    with pytest.raises(Refused, match="Say why"):
        hold_stage(stage=stage, by=technician, expected_version=2, reason=reason, now=NOW)
    assert again(stage).state == StageState.IN_PROGRESS


def test_only_work_that_was_begun_is_held_and_only_held_work_taken_up(case, technician):
    stage = current(case)
    with pytest.raises(Conflict):
        hold_stage(stage=stage, by=technician, expected_version=1, reason="x", now=NOW)
    stage = start(stage, technician)
    with pytest.raises(Conflict):
        resume_stage(stage=stage, by=technician, expected_version=2, now=NOW)


# ---- leave out ----


def test_a_manager_leaves_out_a_stage_with_a_reason(case, manager):
    before = case.events.count()
    skip_stage(
        stage=current(case), by=manager, expected_version=1, reason=" Rims came with the case ", now=LATER
    )
    case.refresh_from_db()
    assert case.current_stage.kind == StageKind.JAW_RELATION
    event = only_event_since(case, before)
    assert (event.act, event.reason, event.by) == (Act.SKIPPED, "Rims came with the case", manager)


def test_leaving_out_wants_a_manager_and_a_reason(case, technician, manager):
    stage = current(case)
    with pytest.raises(NotAllowed):
        skip_stage(stage=stage, by=technician, expected_version=1, reason="x", now=NOW)
    with pytest.raises(Refused, match="Say why"):
        skip_stage(stage=stage, by=manager, expected_version=1, reason=" ", now=NOW)
    assert again(stage).state == StageState.WAITING


def test_a_stage_further_on_is_left_out_and_the_case_stays_where_it_is(case, technician, manager):
    try_in = case.stages.get(kind=StageKind.TRY_IN)
    skip_stage(stage=try_in, by=manager, expected_version=1, reason="Immediate", now=NOW)
    assert current(case).kind == StageKind.OCCLUSION_RIMS
    walk_to(case, StageKind.TOOTH_ARRANGEMENT, manager)
    pass_stage(case, manager)
    assert current(case).kind == StageKind.PROCESSING


def test_a_clinic_stage_left_out_before_the_work_went_out_leaves_it_in_the_laboratory(case, manager):
    """It never left, so nobody has to receive and disinfect it."""
    stage = walk_to(case, StageKind.TRY_IN, manager)
    assert Case.objects.get(pk=case.pk).location == Location.LABORATORY
    skip_stage(stage=stage, by=manager, expected_version=stage.version, reason="Immediate", now=NOW)
    case.refresh_from_db()
    assert (case.current_stage.kind, case.location) == (StageKind.PROCESSING, Location.LABORATORY)
    start(current(case), manager)


def test_a_clinic_stage_left_out_while_the_work_is_out_sends_it_back(case, manager):
    stage = walk_to(case, StageKind.TRY_IN, manager)
    hand_to_clinic(case=case, by=manager, now=NOW)
    skip_stage(stage=stage, by=manager, expected_version=stage.version, reason="Not wanted", now=NOW)
    assert Case.objects.get(pk=case.pk).location == Location.TO_LABORATORY


# ---- a case that is closed ----


def cancelled(case, manager):
    case.refresh_from_db()
    cancel_case(case=case, by=manager, reason="Patient moved", expected_version=case.version, now=NOW)


CLOSED_MOVES = {
    "finish": lambda stage, by: finish(stage, by),
    "hold": lambda stage, by: hold_stage(
        stage=stage, by=by, expected_version=stage.version, reason="x", now=NOW
    ),
}


@pytest.mark.parametrize("move", CLOSED_MOVES.values(), ids=CLOSED_MOVES)
def test_work_on_a_cancelled_case_stays_as_it_is(case, technician, manager, move):
    stage = start(current(case), technician)
    cancelled(case, manager)
    with pytest.raises(Refused, match="cancelled"):
        move(again(stage), technician)
    assert again(stage).state == StageState.IN_PROGRESS
    assert Case.objects.get(pk=case.pk).state == CaseState.CANCELLED


def test_work_on_hold_of_a_cancelled_case_is_not_taken_up_again(case, technician, manager):
    stage = start(current(case), technician)
    hold_stage(stage=stage, by=technician, expected_version=2, reason="x", now=NOW)
    cancelled(case, manager)
    with pytest.raises(Refused, match="cancelled"):
        resume_stage(stage=again(stage), by=technician, expected_version=3, now=NOW)


def test_a_cancelled_case_is_not_completed_by_leaving_out_its_last_stages(manager):
    case = taken_in_case(starts_at=StageKind.INSERTION)
    cancelled(case, manager)
    with pytest.raises(Refused, match="cancelled"):
        skip_stage(stage=current(case), by=manager, expected_version=1, reason="x", now=NOW)
    assert Case.objects.get(pk=case.pk).state == CaseState.CANCELLED


@pytest.mark.parametrize("name", ["start", "finish", "hold", "resume", "skip"])
def test_an_old_version_moves_nothing(case, technician, manager, name):
    stage = current(case)
    if name in ("finish", "hold", "resume"):
        stage = start(stage, technician)
    if name == "resume":
        hold_stage(stage=stage, by=technician, expected_version=2, reason="x", now=NOW)
        stage = again(stage)
    before = Stage.objects.filter(pk=stage.pk).values().get(), case.events.count()
    moves = {
        "start": lambda old: start_stage(stage=stage, by=technician, expected_version=old, now=NOW),
        "finish": lambda old: finish_stage(stage=stage, by=technician, expected_version=old, now=NOW),
        "hold": lambda old: hold_stage(stage=stage, by=technician, expected_version=old, reason="x", now=NOW),
        "resume": lambda old: resume_stage(stage=stage, by=technician, expected_version=old, now=NOW),
        "skip": lambda old: skip_stage(stage=stage, by=manager, expected_version=old, reason="x", now=NOW),
    }
    for old in (stage.version - 1, stage.version + 1, -1):
        with pytest.raises(Conflict):
            moves[name](old)
    assert (Stage.objects.filter(pk=stage.pk).values().get(), case.events.count()) == before
    moves[name](stage.version)
