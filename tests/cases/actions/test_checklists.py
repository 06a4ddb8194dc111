"""Ticks, and the laboratory's own lists: new work takes the new list, started work keeps its copy."""

import datetime

import pytest

from labcases.cases.actions.checklists import (
    set_checklist,
    set_path,
    tick_all_steps,
    tick_step,
    untick_step,
)
from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, CaseKind, StageKind
from labcases.cases.models import Case, ChecklistStep, PathStep
from labcases.cases.queries import checklist_for, own_checklists, path_for, steps_of
from labcases.cases.rules import usual_path
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.prosthodontics.specification.steps import USUAL_STEPS
from tests.cases.walking import current, finish, only_event_since, receive, start
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

RIMS = StageKind.OCCLUSION_RIMS
LATER = NOW + datetime.timedelta(minutes=5)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def technician():
    return TechnicianFactory()


def rims_at_work(technician):
    case = taken_in_case(starts_at=RIMS)
    receive(case, technician)
    return start(current(case), technician)


# ---- ticks ----


def test_a_tick_says_who_and_when_and_is_logged(technician):
    stage = rims_at_work(technician)
    step, before = stage.steps.first(), stage.case.events.count()
    tick_step(step=step, by=technician, now=LATER)
    step.refresh_from_db()
    assert (step.done_by, step.done_at) == (technician, LATER)
    event = only_event_since(stage.case, before)
    assert (event.act, event.by, event.at, event.stage) == (Act.STEP_TICKED, technician, LATER, stage)
    assert event.after == {"step": step.text}


def test_a_tick_is_taken_back(technician):
    stage = rims_at_work(technician)
    step = stage.steps.first()
    tick_step(step=step, by=technician, now=NOW)
    before = stage.case.events.count()
    untick_step(step=step, by=technician, now=LATER)
    step.refresh_from_db()
    assert (step.done_by, step.done_at) == (None, None)
    assert only_event_since(stage.case, before).act == Act.STEP_UNTICKED


def test_ticking_what_is_ticked_keeps_the_first_person_and_logs_nothing(technician, manager):
    stage = rims_at_work(technician)
    step = stage.steps.first()
    tick_step(step=step, by=technician, now=NOW)
    before = stage.case.events.count()
    tick_step(step=step, by=manager, now=LATER)
    step.refresh_from_db()
    assert (step.done_by, step.done_at, stage.case.events.count()) == (technician, NOW, before)


def test_all_open_steps_are_ticked_at_once(technician, manager):
    stage = rims_at_work(technician)
    first = stage.steps.first()
    tick_step(step=first, by=technician, now=NOW)
    tick_all_steps(stage=stage, by=manager, now=LATER)
    people = list(stage.steps.order_by("position").values_list("done_by", flat=True))
    assert people == [technician.pk] + [manager.pk] * (len(people) - 1)
    assert stage.case.events.filter(act=Act.STEP_TICKED).count() == len(people)


def test_only_the_laboratory_ticks(technician):
    stage = rims_at_work(technician)
    with pytest.raises(NotAllowed):
        tick_step(step=stage.steps.first(), by=ClinicianFactory(), now=NOW)
    with pytest.raises(NotAllowed):
        tick_all_steps(stage=stage, by=stage.case.prescriber, now=NOW)
    assert not stage.steps.filter(done_at__isnull=False).exists()


def test_steps_of_finished_work_are_neither_ticked_nor_unticked(technician):
    stage = rims_at_work(technician)
    first, second = stage.steps.all()[:2]
    tick_step(step=first, by=technician, now=NOW)
    finish(stage, technician)
    with pytest.raises(Conflict):
        tick_step(step=second, by=technician, now=LATER)
    with pytest.raises(Conflict):
        untick_step(step=first, by=technician, now=LATER)
    assert stage.steps.filter(done_at__isnull=False).count() == 1


def test_steps_of_a_cancelled_case_stay(technician, manager):
    stage = rims_at_work(technician)
    case = Case.objects.get(pk=stage.case_id)
    cancel_case(case=case, by=manager, reason="Moved", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict, match="cancelled"):
        tick_step(step=stage.steps.first(), by=technician, now=LATER)


# ---- the laboratory's own checklist ----


def test_without_a_list_of_its_own_the_usual_steps_hold():
    assert checklist_for(RIMS) == tuple(USUAL_STEPS[RIMS])
    assert own_checklists() == {}
    assert checklist_for("no such stage") == ()


def test_the_laboratorys_own_list_replaces_the_usual_one(manager):
    set_checklist(stage_kind=RIMS, steps=["Warm the wax", "  ", " Seal it "], by=manager)
    assert checklist_for(RIMS) == ("Warm the wax", "Seal it")
    assert own_checklists() == {RIMS: 2}
    assert checklist_for(StageKind.RECORD_BASE) == tuple(USUAL_STEPS[StageKind.RECORD_BASE])


def test_an_emptied_list_brings_the_usual_steps_back(manager):
    set_checklist(stage_kind=RIMS, steps=["Warm the wax"], by=manager)
    set_checklist(stage_kind=RIMS, steps=["", " "], by=manager)
    assert checklist_for(RIMS) == tuple(USUAL_STEPS[RIMS])
    assert not ChecklistStep.objects.exists()


def test_started_work_keeps_its_copy_and_waiting_work_takes_the_new_list(manager, technician):
    at_work = rims_at_work(technician)
    waiting = current(taken_in_case(starts_at=RIMS))
    usual = list(USUAL_STEPS[RIMS])
    set_checklist(stage_kind=RIMS, steps=["Warm the wax"], by=manager)
    assert steps_of(at_work) == usual
    assert steps_of(waiting) == ["Warm the wax"]
    receive(waiting.case, technician)
    assert steps_of(start(current(waiting.case), technician)) == ["Warm the wax"]


def test_only_a_manager_changes_lists_and_paths(technician):
    for someone in (technician, ClinicianFactory()):
        with pytest.raises(NotAllowed):
            set_checklist(stage_kind=RIMS, steps=["x"], by=someone)
        with pytest.raises(NotAllowed):
            set_path(case_kind=CaseKind.COMPLETE, stage_kinds=[RIMS], by=someone)


def test_a_list_belongs_to_a_known_kind_of_stage(manager):
    with pytest.raises(Refused, match="no such kind"):
        set_checklist(stage_kind="polishing", steps=["x"], by=manager)


def test_a_list_that_somebody_changed_meanwhile_is_a_conflict(manager):
    seen = checklist_for(RIMS)
    set_checklist(stage_kind=RIMS, steps=["Warm the wax"], by=manager, expected=seen)
    with pytest.raises(Conflict):
        set_checklist(stage_kind=RIMS, steps=["Cool the wax"], by=manager, expected=seen)
    assert checklist_for(RIMS) == ("Warm the wax",)


# ---- the laboratory's own path ----


def test_without_a_path_of_its_own_the_delivered_one_holds():
    for kind in CaseKind:
        assert path_for(kind) == usual_path(kind)


def test_the_laboratorys_own_path_keeps_its_order(manager):
    own = (StageKind.MASTER_CAST, RIMS, StageKind.JAW_RELATION)
    set_path(case_kind=CaseKind.COPY, stage_kinds=own, by=manager)
    assert path_for(CaseKind.COPY) == own
    assert path_for(CaseKind.COMPLETE) == usual_path(CaseKind.COMPLETE)
    set_path(case_kind=CaseKind.COPY, stage_kinds=own[::-1], by=manager)
    assert path_for(CaseKind.COPY) == own[::-1]


@pytest.mark.parametrize(
    ("stages", "words"),
    [([], "at least one"), ([RIMS, RIMS], "once"), (["polishing"], "known"), ([RIMS, ""], "known")],
)
def test_a_path_has_known_stages_each_once(manager, stages, words):
    with pytest.raises(Refused, match=words):
        set_path(case_kind=CaseKind.COPY, stage_kinds=stages, by=manager)
    assert not PathStep.objects.exists()


def test_a_path_belongs_to_a_known_kind_of_case(manager):
    with pytest.raises(Refused, match="no such kind"):
        set_path(case_kind="bridge", stage_kinds=[RIMS], by=manager)


def test_a_path_that_somebody_changed_meanwhile_is_a_conflict(manager):
    seen = path_for(CaseKind.RELINE)
    set_path(case_kind=CaseKind.RELINE, stage_kinds=[StageKind.RELINE], by=manager, expected=seen)
    with pytest.raises(Conflict):
        set_path(case_kind=CaseKind.RELINE, stage_kinds=[RIMS], by=manager, expected=seen)
    assert path_for(CaseKind.RELINE) == (StageKind.RELINE,)
