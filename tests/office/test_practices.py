import pytest
from django.urls import reverse

from tests.factories.people import ClinicianFactory, PracticeFactory
from tests.office.desk import as_manager, refused_to_everybody_else

pytestmark = pytest.mark.django_db
URL = reverse("office:practices")


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:practices")


def test_practices_show_their_people_and_a_missing_address(client):
    as_manager(client)
    practice = ClinicianFactory().practice
    PracticeFactory(address="")
    response = client.get(URL)
    assert {each.name: each.people for each in response.context["practices"]}[practice.name] == 1
    assert "missing" in response.content.decode()


def test_with_none_it_says_what_to_do(client):
    as_manager(client)
    assert reverse("office:practice_new") in client.get(URL).content.decode()


def test_the_number_of_queries_does_not_grow_with_the_practices(client, django_assert_num_queries):
    as_manager(client)
    PracticeFactory()
    with django_assert_num_queries(3):
        client.get(URL)
    PracticeFactory()
    PracticeFactory()
    with django_assert_num_queries(3):
        client.get(URL)
