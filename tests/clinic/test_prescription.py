import pytest

from labcases.cases.choices import CaseState
from tests.clinic.chair import as_clinician, case_of, closed_to_others, get, post, text
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory

pytestmark = pytest.mark.django_db


def typed(case, **changes):
    """The form as its page shows it, with some boxes changed."""
    case.refresh_from_db()
    return {
        "prescriber": case.prescriber_id,
        "patient_code": case.patient_code,
        "patient_age": case.patient_age or "",
        "work_description": case.work_description,
        "impression_material": case.impression_material,
        "base_material": case.base_material,
        "shade": case.shade,
        "subcontractor": case.subcontractor,
        "version": case.version,
        **{f"wanted_{stage.kind}": stage.due_on for stage in case.stages.filter(due_on__isnull=False)},
    } | changes


def test_it_is_closed_to_everybody_but_the_practice(client):
    assert closed_to_others(client, "clinic:prescription", case_of(ClinicianFactory()).number)


def test_what_was_missing_completes_the_case(client):
    case = case_of(as_clinician(client), base_material="", sign=False)
    post(client, "clinic:prescription", case.number, **typed(case, base_material="Acrylic", sign="on"))
    case.refresh_from_db()
    assert (case.base_material, case.state) == ("Acrylic", CaseState.OPEN)


def test_a_change_takes_the_signature_away(client):
    case = case_of(as_clinician(client))
    post(client, "clinic:prescription", case.number, **typed(case, shade="Cool dark"))
    case.refresh_from_db()
    assert case.shade == "Cool dark"
    assert case.signed_at is None


def test_a_corrected_figure_keeps_the_old_one(client):
    case = case_of(as_clinician(client), figures=[entry("papilla_to_resting_lip", "7.5")])
    change = typed(case, figure_papilla_to_resting_lip="8", reason="Read the wrong line")
    assert post(client, "clinic:prescription", case.number, **change).status_code == 302
    assert sorted(str(reading.value) for reading in case.readings.all()) == ["7.500", "8.000"]


def test_an_old_page_is_a_conflict_that_lists_what_was_typed(client):
    case = case_of(as_clinician(client))
    old = typed(case, shade="My shade")
    post(client, "clinic:prescription", case.number, **typed(case, shade="Their shade"))
    response = post(client, "clinic:prescription", case.number, **old)
    case.refresh_from_db()
    assert response.status_code == 409
    assert "My shade" in text(response)
    assert case.shade == "Their shade"


def test_a_bad_box_brings_the_page_back_with_its_version(client):
    case = case_of(as_clinician(client))
    response = post(client, "clinic:prescription", case.number, **typed(case, patient_age="old"))
    assert response.status_code == 422
    assert f'name="version" value="{case.version}"' in text(response)
    assert 'value="old"' in text(response)


def test_the_number_of_queries_does_not_grow_with_the_figures(client, django_assert_max_num_queries):
    person = as_clinician(client)
    few = case_of(person, figures=[entry("papilla_to_resting_lip", "7.5")])
    many = case_of(
        person,
        figures=[
            entry("papilla_to_resting_lip", "7.5"),
            entry("incisal_display", "1"),
            entry("upper_lip_length", "24", arch=""),
        ],
    )
    get(client, "clinic:prescription", few.number)
    with django_assert_max_num_queries(12) as one:
        get(client, "clinic:prescription", few.number)
    with django_assert_max_num_queries(12) as three:
        get(client, "clinic:prescription", many.number)
    assert len(one) == len(three)
