"""What the database itself refuses, whatever the program does."""

import datetime

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import ProtectedError

from labcases.cases.choices import StageKind, StageState
from labcases.cases.models import Case, Event
from tests.cases.walking import current, receive
from tests.factories.cases import (
    NOW,
    CaseFactory,
    CaseImportFactory,
    ChecklistStepFactory,
    DisinfectionFactory,
    EventFactory,
    ImportLineFactory,
    NumberSeriesFactory,
    PathStepFactory,
    ReturnFactory,
    StageFactory,
    StepFactory,
    taken_in_case,
)
from tests.factories.people import ManagerFactory, PracticeFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

SOONER = NOW - datetime.timedelta(minutes=1)


def finished(**times):
    return {"finished_at": NOW, "finished_by": TechnicianFactory(), **times}


# The rule by its name in the database, a row that keeps it, and what breaks it.
CHECKED = {
    "a_signature_has_a_person_and_a_time": (CaseFactory, lambda: {"signed_at": NOW}),
    "an_age_in_years_is_at_most_120": (CaseFactory, lambda: {"patient_age": 121}),
    "a_complete_case_has_a_time": (CaseFactory, lambda: {"state": "complete"}),
    "a_hold_has_a_reason": (StageFactory, lambda: {"state": StageState.ON_HOLD}),
    "a_finished_stage_has_a_person_and_a_time": (StageFactory, lambda: {"state": StageState.DONE}),
    "a_stage_ends_after_it_starts": (StageFactory, lambda: finished(started_at=NOW, finished_at=SOONER)),
    "a_ticked_step_has_a_person_and_a_time": (StepFactory, lambda: {"done_at": NOW}),
    "a_disinfection_lasts_as_long_as_its_label_asks": (DisinfectionFactory, lambda: {"minutes": 9}),
}
KEPT = {
    "a_signature_has_a_person_and_a_time": lambda: {"signed_at": NOW, "signed_by": TechnicianFactory()},
    "an_age_in_years_is_at_most_120": lambda: {"patient_age": 120},
    "a_complete_case_has_a_time": lambda: {"state": "complete", "completed_at": NOW},
    "a_hold_has_a_reason": lambda: {"state": StageState.ON_HOLD, "hold_reason": "Shade"},
    "a_finished_stage_has_a_person_and_a_time": lambda: finished(state=StageState.DONE),
    "a_stage_ends_after_it_starts": lambda: finished(started_at=NOW),
    "a_ticked_step_has_a_person_and_a_time": lambda: {"done_at": NOW, "done_by": TechnicianFactory()},
    "a_disinfection_lasts_as_long_as_its_label_asks": lambda: {"minutes": 10},
}


@pytest.mark.parametrize("name", CHECKED)
def test_a_row_that_breaks_its_rule_is_refused_by_it(name):
    factory, broken = CHECKED[name]
    factory(**KEPT[name]())
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        factory(**broken())


UNIQUE = {
    "one_stage_at_a_position": lambda: (
        StageFactory,
        {"case": CaseFactory(), "position": 1},
        [{"kind": StageKind.MASTER_CAST}, {"kind": StageKind.RECORD_BASE}],
    ),
    "one_stage_of_a_kind_in_a_visit": lambda: (
        StageFactory,
        {"case": CaseFactory(), "kind": StageKind.MASTER_CAST},
        [{"position": 1}, {"position": 2}],
    ),
    "one_stage_of_a_case_is_at_work": lambda: (
        StageFactory,
        {"case": CaseFactory()},
        [
            {"kind": StageKind.MASTER_CAST, "state": "in_progress"},
            {"kind": StageKind.RECORD_BASE, "state": "on_hold", "hold_reason": "Shade"},
        ],
    ),
    "one_return_opens_one_visit": lambda: (ReturnFactory, {"case": CaseFactory(), "visit": 2}, [{}, {}]),
    "one_step_at_a_position": lambda: (StepFactory, {"stage": StageFactory(), "position": 1}, [{}, {}]),
    "one_path_step_at_a_position": lambda: (
        PathStepFactory,
        {"position": 1},
        [{"stage_kind": "try_in"}, {"stage_kind": "insertion"}],
    ),
    "a_path_has_a_stage_once": lambda: (PathStepFactory, {}, [{"position": 1}, {"position": 2}]),
    "one_checklist_step_at_a_position": lambda: (ChecklistStepFactory, {"position": 1}, [{}, {}]),
    "entries_of_a_log_are_numbered": lambda: (
        Event.objects.create,
        {"case": CaseFactory(), "by": ManagerFactory(), "at": NOW, "act": "note", "position": 1},
        [{}, {}],
    ),
    "a_practice_s_order_is_taken_in_once": lambda: (
        CaseFactory,
        {"practice": PracticeFactory(), "order_number": "A-17"},
        [{}, {}],
    ),
    "a_row_of_a_file_is_there_once": lambda: (
        ImportLineFactory,
        {"case_import": CaseImportFactory(), "position": 1},
        [{}, {}],
    ),
    "number": lambda: (CaseFactory, {"number": "26-00417-D"}, [{}, {}]),
    "year": lambda: (NumberSeriesFactory, {"year": 2026}, [{}, {}]),
}


@pytest.mark.parametrize("name", UNIQUE)
def test_a_second_row_is_refused_where_there_is_one(name):
    factory, shared, (first, second) = UNIQUE[name]()
    if factory is ReturnFactory:
        stages = [StageFactory(case=shared["case"], kind=kind) for kind in ("try_in", "master_cast")]
        shared |= {"from_stage": stages[0], "to_stage": stages[1]}
    factory(**shared, **first)
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        factory(**shared, **second)
    # SQLite names the columns of a unique rule, PostgreSQL the rule.
    words = str(refusal.value)
    assert name in words or (connection.vendor == "sqlite" and words.startswith("UNIQUE constraint failed"))


def test_every_rule_of_the_database_is_tried_here():
    from django.apps import apps

    named = {
        constraint.name
        for model in apps.get_app_config("cases").get_models()
        for constraint in model._meta.constraints
    }
    assert named <= {*CHECKED, *UNIQUE}


def test_what_hangs_on_a_case_keeps_it_from_being_deleted():
    manager = ManagerFactory()
    case = taken_in_case()
    receive(case, manager)
    for row in (case, current(case), case.practice, case.prescriber, manager):
        with pytest.raises(ProtectedError):
            row.delete()
    assert Case.objects.count() == 1
    assert Event.objects.filter(case=case).count() > 2


def test_an_event_reads_as_its_act_in_words():
    case = CaseFactory(number="26-00417-D")
    assert str(EventFactory(case=case)) == "26-00417-D Note"


def test_a_later_visit_says_so_in_its_stages_label():
    stage = StageFactory(kind=StageKind.TRY_IN, visit=2, case=CaseFactory(number="26-00417-D"))
    assert (stage.label, str(stage)) == ("Try-in, visit 2", "26-00417-D Try-in, visit 2")
