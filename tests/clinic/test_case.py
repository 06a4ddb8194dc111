import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.returns import send_back
from labcases.cases.choices import CaseState, Location, StageKind
from labcases.cases.models import Case, Stage
from labcases.cases.queries import stages_to_return_to
from labcases.measurements.actions.readings import record_readings
from tests.clinic.chair import as_clinician, case_of, closed_to_others, get, text, visit_of
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, ManagerFactory

pytestmark = pytest.mark.django_db

LIP = [entry("papilla_to_resting_lip", "7.5"), entry("incisal_display", "1.0")]


def page(client, case):
    return text(get(client, "clinic:case", case.number))


def test_it_is_closed_to_everybody_but_the_practice(client):
    assert closed_to_others(client, "clinic:case", case_of(ClinicianFactory()).number)


def test_it_answers_where_it_is_when_it_is_back_and_what_is_needed(client):
    person = as_clinician(client)
    case, stage = visit_of(person, StageKind.JAW_RELATION, Location.TO_CLINIC)
    body = page(client, case)
    assert "On its way to the clinic" in body
    assert "Back for jaw relation record" in body
    assert f'datetime="{stage.due_on.isoformat()}"' in body
    assert "Say when it has arrived." in body
    assert reverse("clinic:arrived", args=[case.number]) in body


def test_a_case_with_you_leads_to_its_record(client):
    case, _ = visit_of(as_clinician(client))
    body = page(client, case)
    assert "Record the jaw relation." in body
    assert reverse("clinic:record", args=[case.number]) in body


def test_while_the_laboratory_works_nothing_is_needed(client):
    case, _ = visit_of(as_clinician(client), StageKind.OCCLUSION_RIMS, Location.LABORATORY)
    body = page(client, case)
    assert "At the laboratory: occlusion rims" in body
    assert "Nothing." in body
    assert reverse("clinic:record", args=[case.number]) not in body


def test_an_incomplete_prescription_lists_what_is_missing(client):
    case = case_of(as_clinician(client), base_material="", shade="")
    body = page(client, case)
    assert "The denture base material" in body
    assert "It can be signed once nothing else is missing." not in body
    Case.objects.filter(pk=case.pk).update(signed_at=None, signed_by=None)
    assert "It can be signed once nothing else is missing." in page(client, case)


def test_a_prescription_unsigned_after_a_change_can_be_signed_again(client):
    case, _ = visit_of(as_clinician(client), StageKind.OCCLUSION_RIMS, Location.LABORATORY)
    assert reverse("clinic:sign", args=[case.number]) not in page(client, case)
    Case.objects.filter(pk=case.pk).update(signed_at=None, signed_by=None)
    assert reverse("clinic:sign", args=[case.number]) in page(client, case)


def test_figures_of_the_chair_stand_with_when_they_were_taken(client):
    person = as_clinician(client)
    case = case_of(person, figures=[entry("papilla_to_resting_lip", "7.5", instrument="papillameter")])
    body = page(client, case)
    assert "Papilla to resting upper lip" in body
    assert "7.5 mm" in body
    assert "papillameter" in body


def test_the_specification_says_its_target_and_why(client):
    case = case_of(as_clinician(client), figures=[*LIP, entry("sulcus_to_papilla", "12.5")])
    body = page(client, case)
    # Lip line 7.5, display 1.0 and sulcus depth 12.5 give 21.0 (F3.1 to F3.4 of the core, derived).
    assert "21.0" in body
    assert "computed" in body
    assert "12.5" in body


def test_what_was_measured_on_the_rim_stands_beside_its_target(client):
    person = as_clinician(client)
    case, stage = visit_of(person, StageKind.OCCLUSION_RIMS, Location.LABORATORY)
    record_readings(
        stage=stage, entries=[entry("anterior_height", "22.1")], by=ManagerFactory(), now=timezone.now()
    )
    body = page(client, case)
    assert "22.1" in body
    assert "within" in body


def test_both_vertical_dimensions_give_the_freeway_space(client):
    person = as_clinician(client)
    case, stage = visit_of(person)
    figures = [
        entry("vertical_dimension_rest", "68.0", arch=""),
        entry("vertical_dimension_occlusion", "66.5", arch=""),
    ]
    record_readings(stage=stage, entries=figures, by=person, now=timezone.now())
    # Worked example, derived: 68.0 − 66.5 = 1.5 mm.
    assert "Freeway space 1.5 ±" in page(client, case)


def test_a_return_is_told_with_its_cause_and_note(client):
    person = as_clinician(client)
    case, stage = visit_of(person)
    to = stages_to_return_to(case)[0]
    send_back(
        stage=stage,
        to=to,
        cause="plane",
        note="Drops to the left",
        by=person,
        expected_version=stage.version,
        now=timezone.now(),
    )
    body = page(client, case)
    assert "Plane canted" in body
    assert "Drops to the left" in body


def test_the_laboratorys_own_ticks_and_readings_stay_out_of_the_log(client):
    person = as_clinician(client)
    case, stage = visit_of(person, StageKind.OCCLUSION_RIMS, Location.LABORATORY)
    record_readings(
        stage=stage, entries=[entry("anterior_height", "22.1")], by=ManagerFactory(), now=timezone.now()
    )
    response = get(client, "clinic:case", case.number)
    told = [each.event.act for each in (*response.context["log"], *response.context["earlier"])]
    assert "opened" in told
    assert "reading" not in told


def test_a_completed_case_can_be_complained_about(client):
    person = as_clinician(client)
    case = case_of(person)
    Case.objects.filter(pk=case.pk).update(state=CaseState.COMPLETE, completed_at=timezone.now())
    Stage.objects.filter(case=case).update(
        state="done", finished_at=timezone.now(), finished_by=person, started_at=None
    )
    body = page(client, case)
    assert reverse("clinic:send_back", args=[case.number]) in body
    assert reverse("clinic:dates", args=[case.number]) not in body


def test_the_number_of_queries_does_not_grow_with_what_is_known(client, django_assert_max_num_queries):
    person = as_clinician(client)
    case, stage = visit_of(person, figures=LIP[:1])
    get(client, "clinic:case", case.number)
    with django_assert_max_num_queries(12) as few:
        get(client, "clinic:case", case.number)
    more = [
        entry("vertical_dimension_rest", "68.0", arch=""),
        entry("vertical_dimension_occlusion", "65.0", arch=""),
    ]
    record_readings(stage=stage, entries=more, by=person, now=timezone.now())
    with django_assert_max_num_queries(12) as many:
        get(client, "clinic:case", case.number)
    assert len(few) == len(many)


def test_what_is_typed_is_shown_as_text(client):
    case = case_of(as_clinician(client), work_description="<b>bold</b>")
    assert "&lt;b&gt;bold" in page(client, case)
