import pytest
from django.urls import reverse

from labcases.cases.choices import CaseState
from labcases.pages.prescription import PrescriptionForm
from tests.factories.cases import NOW
from tests.factories.people import ManagerFactory
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def boxes(case, **changes):
    case.refresh_from_db()
    form = PrescriptionForm(user=ManagerFactory(), today=NOW.date(), case=case)
    shown = {name: form[name].value() for name in form.fields}
    kept = {name: value for name, value in shown.items() if value not in (None, False)}
    return kept | {"version": case.version} | changes


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:prescription", case_now().number)


def test_an_unknown_case_is_not_found(client):
    as_manager(client)
    assert client.get(reverse("office:prescription", args=["26-00417-K"])).status_code == 404
    assert client.get(reverse("office:prescription", args=["nonsense"])).status_code == 404


def test_what_was_missing_completes_the_case(client):
    as_manager(client)
    case = case_now(base_material="")
    assert case.state == CaseState.INCOMPLETE
    response = post(
        client, "office:prescription", case.number, **boxes(case, base_material="Acrylic", sign="on")
    )
    case.refresh_from_db()
    assert response["Location"] == reverse("office:case", args=[case.number])
    assert (case.base_material, case.state) == ("Acrylic", CaseState.OPEN)


def test_an_old_page_is_a_conflict_and_shows_what_was_typed(client):
    as_manager(client)
    case = case_now(shade="Warm")
    old = boxes(case, shade="Grey")
    post(client, "office:prescription", case.number, **boxes(case, shade="Cool"))
    response = post(client, "office:prescription", case.number, **old)
    case.refresh_from_db()
    assert response.status_code == 409
    assert "Grey" in response.content.decode()
    assert case.shade == "Cool"


def test_bad_input_keeps_typed_values_and_the_version_that_was_seen(client):
    as_manager(client)
    case = case_now()
    seen = case.version
    typed = boxes(case, patient_age="200", notes="Palate is sensitive")
    post(client, "office:dates", case.number, version=seen, try_in="2030-01-01")
    response = post(client, "office:prescription", case.number, **typed)
    assert response.status_code == 422
    assert "Palate is sensitive" in response.content.decode()
    assert f'name="version" value="{seen}"' in response.content.decode()


def test_a_closed_case_is_not_changed(client):
    as_manager(client)
    case = case_now()
    typed = boxes(case, shade="Cool")
    post(client, "office:cancel", case.number, version=case.version, reason="Sent by mistake")
    assert post(client, "office:prescription", case.number, **typed).status_code == 409
