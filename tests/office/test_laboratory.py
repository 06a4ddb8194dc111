import pytest
from django.urls import reverse

from labcases.cases.models import Case
from labcases.people.models import Laboratory
from labcases.people.queries import laboratory
from tests.factories.cases import taken_in_case
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
DETAILS = {"name": "Quarry Lane", "address": "1 Quarry Lane"}


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:laboratory")


def test_the_first_manager_names_the_laboratory(client):
    as_manager(client)
    assert client.get(reverse("office:laboratory")).status_code == 200
    post(client, "office:laboratory", **DETAILS, version=1)
    assert (laboratory().name, laboratory().address) == ("Quarry Lane", "1 Quarry Lane")


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    post(client, "office:laboratory", **DETAILS, version=1)
    post(client, "office:laboratory", **(DETAILS | {"name": "Quarry"}), version=1)
    response = post(client, "office:laboratory", **(DETAILS | {"name": "Other"}), version=1)
    assert response.status_code == 409
    assert laboratory().name == "Quarry"


def test_a_laboratory_without_a_name_is_refused(client):
    as_manager(client)
    response = post(client, "office:laboratory", name="", address="1 Quarry Lane", version=1)
    assert response.status_code == 422
    assert "1 Quarry Lane" in response.content.decode()


def test_a_prescription_that_lacked_only_the_laboratorys_address_becomes_complete(client):
    case = taken_in_case()
    Laboratory.objects.filter(pk=1).update(address="")
    Case.objects.filter(pk=case.pk).update(state="incomplete")
    lacking = taken_in_case(patient_code="")
    as_manager(client)
    post(client, "office:laboratory", **DETAILS, version=laboratory().version)
    states = dict(Case.objects.values_list("pk", "state"))
    assert (states[case.pk], states[lacking.pk]) == ("open", "incomplete")
