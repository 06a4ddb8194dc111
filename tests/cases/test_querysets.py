"""Which cases and stages a list holds. Each negative test has a row beside it that could leak in."""

import datetime

import pytest

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.moves import hold_stage
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import ReturnCause, StageKind
from labcases.cases.models import Case, Stage
from labcases.cases.queries import stages_to_return_to
from tests.cases.walking import current, receive, start, walk_to, walk_to_the_end
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)
TODAY = NOW.date()


@pytest.fixture
def manager():
    return ManagerFactory()


def cancel(case, by):
    case = Case.objects.get(pk=case.pk)
    cancel_case(case=case, by=by, reason="Moved", expected_version=case.version, now=NOW)


# ---- who sees what ----


@pytest.mark.parametrize("make", [ManagerFactory, TechnicianFactory])
def test_the_laboratory_sees_every_case(make):
    cases = {taken_in_case(), taken_in_case()}
    user = make()
    assert set(Case.objects.visible_to(user)) == cases
    assert Stage.objects.visible_to(user).count() == 22


def test_a_clinician_sees_the_own_practices_cases_also_those_of_colleagues():
    mine, theirs = taken_in_case(), taken_in_case()
    colleague = ClinicianFactory(practice=mine.practice)
    for user in (mine.prescriber, colleague):
        assert list(Case.objects.visible_to(user)) == [mine]
        assert set(Stage.objects.visible_to(user).values_list("case", flat=True)) == {mine.pk}
    assert list(Case.objects.visible_to(theirs.prescriber)) == [theirs]


@pytest.mark.parametrize("make", [ManagerFactory, TechnicianFactory, ClinicianFactory])
def test_who_has_left_sees_nothing(make):
    case = taken_in_case()
    gone = {"is_active": False} | ({"practice": case.practice} if make is ClinicianFactory else {})
    user = make(**gone)
    assert not Case.objects.visible_to(user).exists()
    assert not Stage.objects.visible_to(user).exists()


# ---- search ----


def found(text):
    return list(Case.objects.search(text).order_by("pk"))


def test_a_number_is_found_with_and_without_dashes_whole_or_begun():
    case, other = taken_in_case(), taken_in_case()
    year, running, check = case.number.split("-")
    for text in (case.number, case.number.lower(), year + running + check, f"{year} {running} {check}"):
        assert found(text) == [case], text
    assert found(f"{year}-{running}") == found(year + running) == [case]
    assert found(f"{year}-") == [case, other]
    assert found(year + running[:-1]) == [case, other]


def test_a_number_that_differs_in_its_last_character_is_not_found():
    case = taken_in_case()
    wrong = "A" if case.number[-1] != "A" else "B"
    assert found(case.number[:-1] + wrong) == []
    assert found(case.number.replace("-", "")[:-1] + wrong) == []


def test_a_patients_code_is_found_from_its_beginning_in_whatever_case():
    case = taken_in_case(patient_code="ELM-301")
    taken_in_case(patient_code="HAR-ELM")
    assert found("elm") == found("ELM-301") == found(" elm-30 ") == [case]


def test_a_practice_is_found_by_a_part_of_its_name_or_its_whole_code():
    elm = taken_in_case(practice=PracticeFactory(code="EH", name="Elm Hill Practice"))
    taken_in_case(practice=PracticeFactory(code="EHX", name="Harbour Steps"))
    assert found("lm hi") == found("elm  hill") == [elm]
    assert found("eh") == [elm]


def test_an_empty_search_finds_all_and_one_that_fits_nothing_none():
    case = taken_in_case()
    assert found("") == found("   ") == [case]
    assert found("zzz") == []


@pytest.mark.parametrize(
    "text", ["%", "_", "26-%", "\\", "'", "\x00", "26\x0000002", "²²²", "x" * 5000, "٢٦٠"]
)
def test_odd_characters_are_looked_for_as_they_are(text):
    taken_in_case()
    assert found(text) == []


def test_searching_never_widens_what_a_clinician_sees():
    mine = taken_in_case(patient_code="SAME-1")
    taken_in_case(patient_code="SAME-2")
    assert list(Case.objects.visible_to(mine.prescriber).search("same")) == [mine]
    assert list(Case.objects.search("same").visible_to(mine.prescriber)) == [mine]


# ---- late, due, overdue ----


def rims(manager, *, wanted_in_days=7):
    case = taken_in_case(starts_at=StageKind.OCCLUSION_RIMS, wanted_in_days=wanted_in_days)
    receive(case, manager)
    return case


def test_work_is_late_from_the_day_after_it_was_due(manager):
    case = rims(manager)
    due = current(case).due_on
    assert list(Case.objects.late(due + DAY)) == [case]
    assert not Case.objects.late(due).exists()


def test_neither_cancelled_nor_complete_cases_nor_those_at_the_clinic_are_late(manager):
    late, cancelled, complete, away = (rims(manager) for _ in range(4))
    cancel(cancelled, manager)
    walk_to_the_end(complete, manager)
    walk_to(away, StageKind.JAW_RELATION, manager)
    assert list(Case.objects.late(TODAY + 400 * DAY)) == [late]


def test_an_incomplete_case_is_late_too(manager):
    case = taken_in_case(sign=False)
    assert list(Case.objects.late(current(case).due_on + DAY)) == [case]


def test_work_due_in_a_span_includes_both_its_ends_and_nothing_outside(manager):
    case = rims(manager)
    due = current(case).due_on
    assert list(Case.objects.due_by(due, due)) == [case]
    assert not Case.objects.due_by(due + DAY, due + 9 * DAY).exists()
    assert not Case.objects.due_by(due - 9 * DAY, due - DAY).exists()


def test_a_case_is_overdue_at_the_clinic_once_its_appointment_has_passed(manager):
    case, here = rims(manager), rims(manager)
    stage = walk_to(case, StageKind.JAW_RELATION, manager)
    hand_to_clinic(case=case, by=manager, now=NOW)
    assert list(Case.objects.overdue_at_clinic(stage.due_on + DAY)) == [case]
    assert not Case.objects.overdue_at_clinic(stage.due_on).exists()
    assert here in Case.objects.late(stage.due_on + DAY)


def test_by_due_the_next_day_comes_first_and_no_day_last(manager):
    later, sooner, never = rims(manager, wanted_in_days=9), rims(manager, wanted_in_days=3), rims(manager)
    Stage.objects.filter(case=never).update(due_on=None)
    assert list(Case.objects.with_current_stage().by_due()) == [sooner, later, never]


# ---- what waits for whom ----


def test_unassigned_is_complete_work_at_the_laboratorys_stage_that_nobody_has(manager):
    nobodys, somebodys, incomplete, clinics = (rims(manager) for _ in range(4))
    assign(stages=[(current(somebodys), 1)], to=TechnicianFactory(), by=manager, now=NOW)
    Case.objects.filter(pk=incomplete.pk).update(state="incomplete")
    walk_to(clinics, StageKind.JAW_RELATION, manager)
    assert list(Case.objects.unassigned()) == [nobodys]


def test_to_receive_and_to_hand_over_are_the_two_crossings(manager):
    coming = taken_in_case()
    ready, away, cancelled = rims(manager), rims(manager), taken_in_case()
    rims(manager)
    walk_to(ready, StageKind.JAW_RELATION, manager)
    walk_to(away, StageKind.JAW_RELATION, manager)
    hand_to_clinic(case=away, by=manager, now=NOW)
    cancel(cancelled, manager)
    assert list(Case.objects.to_receive()) == [coming]
    assert list(Case.objects.to_hand_over()) == [ready]


def test_what_came_back_is_at_a_laboratory_stage_of_a_later_visit(manager):
    back, first = rims(manager), rims(manager)
    stage = walk_to(back, StageKind.JAW_RELATION, manager)
    send_back(
        stage=stage,
        to=stages_to_return_to(stage.case)[0],
        cause=ReturnCause.RIM_HEIGHT,
        note="",
        by=manager,
        expected_version=stage.version,
        now=NOW,
    )
    assert list(Case.objects.came_back()) == [back]
    walk_to(back, StageKind.JAW_RELATION, manager)
    assert not Case.objects.came_back().exists()
    assert first in Case.objects.still_open()


# ---- stages at the bench ----


def test_at_the_bench_are_current_laboratory_stages_of_complete_cases_that_are_here(manager):
    here = rims(manager)
    taken_in_case(starts_at=StageKind.OCCLUSION_RIMS)
    incomplete, cancelled, clinics = rims(manager), rims(manager), rims(manager)
    Case.objects.filter(pk=incomplete.pk).update(state="incomplete")
    cancel(cancelled, manager)
    walk_to(clinics, StageKind.JAW_RELATION, manager)
    assert list(Stage.objects.at_bench()) == [current(here)]


def test_only_the_stage_where_a_case_stands_is_current(manager):
    case = rims(manager)
    assert list(Stage.objects.current()) == [current(case)]


def test_work_begun_comes_first_then_what_is_due_first_then_what_is_on_hold(manager):
    later, sooner, undated, held, begun = (rims(manager, wanted_in_days=days) for days in (9, 3, 5, 2, 30))
    Stage.objects.filter(case=undated).update(due_on=None)
    start(current(begun), manager)
    stage = start(current(held), manager)
    hold_stage(stage=stage, by=manager, expected_version=stage.version, reason="Shade", now=NOW)
    order = [stage.case for stage in Stage.objects.at_bench().with_case().in_bench_order()]
    assert order == [begun, sooner, later, undated, held]


def test_given_to_is_ones_own(manager):
    technician = TechnicianFactory()
    mine, other = rims(manager), rims(manager)
    assign(stages=[(current(mine), 1)], to=technician, by=manager, now=NOW)
    assign(stages=[(current(other), 1)], to=TechnicianFactory(), by=manager, now=NOW)
    assert list(Stage.objects.given_to(technician)) == [current(mine)]
