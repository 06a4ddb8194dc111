import pytest

from labcases.cases.choices import CaseState
from tests.clinic.chair import as_clinician, case_of, closed_to_others, get, post
from tests.factories.people import ClinicianFactory

pytestmark = pytest.mark.django_db


def test_it_is_closed_to_everybody_but_the_practice(client):
    case = case_of(ClinicianFactory(), sign=False)
    assert closed_to_others(client, "clinic:sign", case.number, method="post")


def test_it_is_not_asked_for_but_sent(client):
    case = case_of(as_clinician(client), sign=False)
    assert get(client, "clinic:sign", case.number).status_code == 405


def test_a_signed_prescription_that_lacks_nothing_opens_the_case(client):
    person = as_clinician(client)
    case = case_of(person, sign=False)
    assert post(client, "clinic:sign", case.number, version=case.version).status_code == 302
    case.refresh_from_db()
    assert (case.signed_by, case.state) == (person, CaseState.OPEN)


def test_what_was_changed_since_the_page_was_loaded_is_not_signed(client):
    case = case_of(as_clinician(client), sign=False)
    response = post(client, "clinic:sign", case.number, version=case.version - 1)
    case.refresh_from_db()
    assert response.status_code == 409
    assert case.signed_at is None
