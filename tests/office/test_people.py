import pytest
from django.urls import reverse

from tests.factories.people import ClinicianFactory, TechnicianFactory
from tests.office.desk import as_manager, refused_to_everybody_else

pytestmark = pytest.mark.django_db
URL = reverse("office:people")


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:people")


def test_people_stand_by_role_and_those_who_left_apart(client):
    manager = as_manager(client)
    technician, clinician = TechnicianFactory(), ClinicianFactory()
    gone = TechnicianFactory(is_active=False)
    response = client.get(URL)
    assert dict(response.context["roles"]) == {
        "Lab managers": [manager],
        "Technicians": [technician],
        "Clinicians": [clinician],
    }
    assert response.context["left"] == [gone]


def test_the_number_of_queries_does_not_grow_with_the_people(client, django_assert_num_queries):
    as_manager(client)
    ClinicianFactory()
    with django_assert_num_queries(3):
        client.get(URL)
    ClinicianFactory()
    ClinicianFactory()
    with django_assert_num_queries(3):
        client.get(URL)
