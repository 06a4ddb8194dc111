import pytest
from django.urls import reverse

from labcases.cases.choices import Location
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
ASKED = {"agent": "Label A", "minutes_required": "10", "minutes": "12"}


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:receive", case_now().number)


def test_a_case_is_received_with_its_disinfection(client):
    manager = as_manager(client)
    case = case_now()
    post(client, "office:receive", case.number, **ASKED)
    case.refresh_from_db()
    done = case.disinfections.get()
    assert case.location == Location.LABORATORY
    assert (done.agent, done.minutes, done.minutes_required, done.by) == ("Label A", 12, 10, manager)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"minutes": "9"}, "shorter than the 10 minutes"),
        ({"agent": " "}, "required"),
        ({"minutes": "ten"}, "whole number"),
        ({"minutes_required": "0"}, "greater than or equal to 1"),
    ],
)
def test_a_disinfection_that_falls_short_is_refused_with_what_was_typed(client, changes, words):
    as_manager(client)
    case = case_now()
    response = post(client, "office:receive", case.number, **(ASKED | changes))
    case.refresh_from_db()
    assert response.status_code == 422
    assert words in response.content.decode()
    assert case.location == Location.TO_LABORATORY


def test_received_already_is_a_conflict(client):
    as_manager(client)
    case = case_now()
    post(client, "office:receive", case.number, **ASKED)
    assert post(client, "office:receive", case.number, **ASKED).status_code == 409
    assert case.disinfections.count() == 1


def test_it_leads_back_to_the_list_it_was_opened_from(client):
    as_manager(client)
    case, today = case_now(), reverse("office:today")
    content = client.get(reverse("office:receive", args=[case.number]), {"back": today}).content.decode()
    assert f'name="back" value="{today}"' in content
    assert post(client, "office:receive", case.number, **ASKED, back=today)["Location"] == today
