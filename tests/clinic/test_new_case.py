import pytest

from labcases.cases.choices import CaseState
from labcases.cases.models import Case
from labcases.measurements.queries import current_specification
from tests.clinic.chair import as_clinician, case_of, get, post, text
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


def whole(person, **changes):
    return {
        "prescriber": person.pk,
        "patient_code": "EH-900",
        "kind": "complete",
        "arches": "both",
        "work_description": "Complete dentures",
        "impression_material": "silicone",
        "base_material": "Heat-cured acrylic",
        "subcontractor": "none",
        "wanted_definitive_impressions": "2030-05-07",
        "sign": "on",
    } | changes


def test_only_clinicians_write_one_here(client):
    for person, status in ((TechnicianFactory(), 403), (ManagerFactory(), 403), (ClinicianFactory(), 200)):
        client.force_login(person)
        assert get(client, "clinic:new_case").status_code == status


def test_a_whole_prescription_opens_a_case_of_the_own_practice(client):
    LaboratoryFactory()
    person = as_clinician(client)
    response = post(client, "clinic:new_case", **whole(person))
    case = Case.objects.get()
    assert response.url.endswith(f"/clinic/cases/{case.number}")
    assert (case.practice, case.prescriber, case.signed_by) == (person.practice, person, person)
    assert case.state == CaseState.OPEN


def test_chairside_figures_make_the_rim_this_patients(client):
    LaboratoryFactory()
    person = as_clinician(client)
    figures = {
        "figure_papilla_to_resting_lip": "7,5",
        "figure_incisal_display": "1",
        "figure_sulcus_to_papilla": "12.5",
    }
    post(client, "clinic:new_case", **whole(person, **figures))
    line = current_specification(Case.objects.get(), "occlusion_rims").lines.get(
        arch="maxillary", name="anterior_height"
    )
    # Lip line 7.5, display 1.0, sulcus depth 12.5 give 21.0 (derived, F3.1 to F3.4 of the core).
    assert (str(line.target), line.basis) == ("21.000", "computed")


def test_an_incomplete_one_is_kept_and_says_so(client):
    LaboratoryFactory()
    person = as_clinician(client)
    response = post(client, "clinic:new_case", **whole(person, base_material="", sign=""))
    case = Case.objects.get()
    assert case.state == CaseState.INCOMPLETE
    assert "once it is complete" in text(client.get(response.url))


def test_a_figure_that_cannot_be_read_keeps_everything_typed(client):
    person = as_clinician(client)
    typed = whole(person, figure_papilla_to_resting_lip="1e2", work_description="My words")
    response = post(client, "clinic:new_case", **typed)
    assert response.status_code == 422
    assert "My words" in text(response)
    assert 'value="1e2"' in text(response)
    assert not Case.objects.exists()


def test_looking_at_the_published_display_keeps_nothing_and_finds_no_fault(client):
    person = as_clinician(client)
    typed = whole(person, look="guidance", patient_age="70", figure_papilla_to_resting_lip="1e2")
    response = post(client, "clinic:new_case", **typed)
    assert response.status_code == 200
    assert "error-summary" not in text(response)
    assert not Case.objects.exists()


def test_sent_twice_it_is_one_case(client):
    LaboratoryFactory()
    person = as_clinician(client)
    answers = [post(client, "clinic:new_case", key="one-tap", **whole(person)).url for _ in range(2)]
    assert answers[0] == answers[1]
    assert Case.objects.count() == 1


def test_a_prescriber_of_another_practice_cannot_be_named(client):
    LaboratoryFactory()
    as_clinician(client)
    other = ClinicianFactory(display_name="Somebody Elsewhere")
    case_of(other)
    assert "Somebody Elsewhere" not in text(get(client, "clinic:new_case"))
    assert post(client, "clinic:new_case", **whole(other)).status_code == 422
    assert Case.objects.count() == 1
