"""The demo scenario: told once, true to what it says of itself, and never in the future."""

import datetime
from collections import Counter

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import transaction
from django.db.models import F

from labcases.cases.choices import Act, CaseState, StageKind, StageState
from labcases.cases.models import Case, Event, Stage
from labcases.demo.loading import load_demo
from labcases.demo.scenario import read_people, read_stories
from labcases.measurements.models import Reading
from labcases.measurements.queries import boxes_for, current_specification, findings
from labcases.people.models import Practice, User
from labcases.planning.models import PersonSkill
from labcases.planning.scheduling.times import SKILLS
from labcases.records.checking import check_cases
from tests.factories.cases import CaseFactory

pytestmark = pytest.mark.django_db

# A Wednesday in the afternoon; other weekdays have a test of their own.
NOW = datetime.datetime(2026, 3, 4, 15, 0, tzinfo=datetime.UTC)
TODAY = NOW.date()


@pytest.fixture(scope="module")
def scenario(django_db_setup, django_db_blocker):
    """The scenario loaded once for all tests of this file, and rolled back after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_demo(now=NOW)
        transaction.set_rollback(True)


def every_row():
    """All rows of all our tables, as plain values."""
    ours = [model for model in apps.get_models() if model.__module__.startswith("labcases.")]
    return {model._meta.label: sorted(map(repr, model.objects.values())) for model in ours}


def the_case(patient):
    return Case.objects.get(patient_code=patient)


def case_noted(words):
    return Case.objects.get(notes__contains=words)


def test_it_has_an_invented_laboratory_of_four_practices_and_six_technicians(scenario):
    assert Practice.objects.count() == 4
    roles = Counter(User.objects.values_list("role", flat=True))
    assert (roles["technician"], roles["manager"]) == (6, 1)
    assert roles["clinician"] >= 4
    assert all("demo" in name for name in Practice.objects.values_list("name", flat=True))


def test_every_kind_of_work_has_technicians_who_know_it(scenario):
    assert set(PersonSkill.objects.values_list("skill", flat=True)) == set(SKILLS)


def test_every_log_holds(scenario):
    assert [checked.broken for checked in check_cases(Case.objects.all()) if not checked.is_sound] == []


def test_some_forty_cases_stand_on_all_stages(scenario):
    assert Case.objects.count() >= 40
    standing = set(
        Case.objects.filter(current_stage__isnull=False).values_list("current_stage__kind", flat=True)
    )
    complete_path = {
        StageKind.CUSTOM_TRAY,
        StageKind.DEFINITIVE_IMPRESSIONS,
        StageKind.MASTER_CAST,
        StageKind.RECORD_BASE,
        StageKind.OCCLUSION_RIMS,
        StageKind.JAW_RELATION,
        StageKind.TOOTH_ARRANGEMENT,
        StageKind.TRY_IN,
        StageKind.PROCESSING,
        StageKind.INSERTION,
    }
    assert complete_path <= standing
    assert Case.objects.filter(state=CaseState.COMPLETE).exists()
    assert set(Stage.objects.values_list("state", flat=True)) == {*StageState.values}


def test_every_case_stands_where_its_story_says(scenario):
    for story in read_stories():
        found = Case.objects.filter(
            notes=story.note, patient_code=story.patient, practice__code=story.practice
        )
        case = found.get()
        if story.reached == "complete":
            assert case.state == CaseState.COMPLETE
        elif story.reached == "returned":
            assert case.current_stage.kind == (story.then or story.back_to)
            assert case.returns.exists()
        elif story.reached in ("leaving",):
            assert case.stages.get(kind=story.at).state == StageState.DONE
        else:
            assert case.current_stage.kind == story.at


def test_one_came_back_from_its_try_in(scenario):
    case = the_case("ELM-287")
    back = case.returns.get()
    assert (back.from_stage.kind, back.cause, case.current_stage.visit) == ("try_in", "midline", 2)


def test_one_is_incomplete_and_says_what_it_lacks(scenario):
    incomplete = Case.objects.filter(state=CaseState.INCOMPLETE)
    assert incomplete.count() >= 1
    assert not incomplete.filter(signed_at__isnull=False).exists()


def test_one_is_late_at_the_laboratory_and_one_overdue_at_the_clinic(scenario):
    assert the_case("MIL-069") in Case.objects.late(TODAY)
    assert the_case("HAR-102") in Case.objects.overdue_at_clinic(TODAY)


def test_one_has_a_figure_on_its_limit_that_is_to_be_measured_again(scenario):
    case = the_case("HAR-118")
    stage = case.current_stage
    kinds = [each.kind for each in findings(boxes_for(stage, current_specification(case, stage.kind)))]
    assert kinds == ["measure again"]


def test_one_has_a_lip_line_at_least_3_mm_from_the_average(scenario):
    line = current_specification(scenario, "occlusion_rims").lines.get(
        arch="maxillary", name="anterior_height"
    )
    assert (line.basis, line.target) == ("computed", 25)
    assert abs(line.target - 22) >= 3


def test_no_case_has_a_log_that_lies_in_the_future_or_runs_backwards(scenario):
    assert Event.objects.exists()
    for case in Case.objects.all():
        times = list(case.events.order_by("pk").values_list("at", flat=True))
        assert times == sorted(times), case.notes
        assert times[-1] <= NOW
        assert times[0] == case.opened_at
    assert not Reading.objects.filter(entered_at__gt=NOW).exists()
    assert not Stage.objects.filter(finished_at__lt=F("started_at")).exists()


def test_nobody_worked_on_a_weekend(scenario):
    assert not Event.objects.filter(at__week_day__in=[1, 7]).exclude(act=Act.OPENED).exists()


def test_every_state_was_reached_by_the_moves_that_its_log_tells(scenario):
    for stage in Stage.objects.exclude(state__in=[StageState.WAITING, StageState.SKIPPED]):
        acts = set(stage.events.values_list("act", flat=True))
        wanted = {
            StageState.DONE: Act.FINISHED,
            StageState.RETURNED: Act.SENT_BACK,
            StageState.IN_PROGRESS: Act.STARTED,
            StageState.ON_HOLD: Act.HELD,
        }[stage.state]
        assert wanted in acts, f"{stage} is {stage.state}"


def test_loading_it_again_changes_no_row(scenario):
    before = every_row()
    assert load_demo(now=NOW + datetime.timedelta(days=3)) == scenario
    assert every_row() == before


def test_the_case_to_show_is_found_also_when_its_code_was_changed_or_used_again(scenario):
    CaseFactory(patient_code=scenario.patient_code)
    assert load_demo(now=NOW) == scenario
    Case.objects.update(patient_code="X")
    assert load_demo(now=NOW) == Case.objects.order_by("pk").first()


def test_the_command_names_the_sign_ins_and_the_case_to_show(scenario, capsys):
    call_command("load_demo")
    said = capsys.readouterr().out
    for name in ("ledger", "gypsum", "sample", read_people()["password"]):
        assert name in said
    assert said.endswith(f"ticket case: {scenario.number}\n")
