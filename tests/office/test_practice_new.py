import pytest
from django.urls import reverse

from labcases.people.queries import all_practices
from tests.factories.people import PracticeFactory
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
PRACTICE = {"code": "elm", "name": "Elm Hill", "address": "3 Elm Hill"}


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:practice_new")


def test_a_practice_is_added_with_its_code_in_capitals(client):
    as_manager(client)
    response = post(client, "office:practice_new", **PRACTICE)
    assert response["Location"] == reverse("office:practices")
    assert [(each.code, each.name) for each in all_practices()] == [("ELM", "Elm Hill")]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"code": "oak"}, "Another practice has this code"),
        ({"name": ""}, "required"),
        ({"code": "E" * 9}, "8"),
    ],
)
def test_what_cannot_be_is_refused(client, changes, words):
    as_manager(client)
    PracticeFactory(code="OAK")
    response = post(client, "office:practice_new", **(PRACTICE | changes))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert all_practices().count() == 1
