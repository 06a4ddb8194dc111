import pytest

from labcases.cases.choices import Act, Location, StageKind
from tests.clinic.chair import as_clinician, closed_to_others, get, post, text, visit_of
from tests.factories.people import ClinicianFactory

pytestmark = pytest.mark.django_db


def coming_to(person):
    return visit_of(person, StageKind.DEFINITIVE_IMPRESSIONS, Location.TO_CLINIC)[0]


def test_it_is_closed_to_everybody_but_the_practice(client):
    case = coming_to(ClinicianFactory())
    assert closed_to_others(client, "clinic:arrived", case.number, method="post")


def test_it_is_not_asked_for_but_sent(client):
    case = coming_to(as_clinician(client))
    assert get(client, "clinic:arrived", case.number).status_code == 405


def test_what_has_arrived_is_with_the_practice(client):
    person = as_clinician(client)
    case = coming_to(person)
    response = post(client, "clinic:arrived", case.number)
    case.refresh_from_db()
    assert response.url.endswith(f"/clinic/cases/{case.number}")
    assert case.location == Location.CLINIC
    assert case.events.get(act=Act.ARRIVED, stage=case.current_stage).by == person


def test_two_people_who_say_so_get_one_event_and_a_conflict(client):
    case = coming_to(as_clinician(client))
    post(client, "clinic:arrived", case.number)
    response = post(client, "clinic:arrived", case.number)
    assert response.status_code == 409
    assert "already at the clinic" in text(response)
    assert case.events.filter(act=Act.ARRIVED).count() == 1


def test_sent_twice_by_one_tap_it_is_done_once_without_a_conflict(client):
    case = coming_to(as_clinician(client))
    answers = [post(client, "clinic:arrived", case.number, key="one-tap").status_code for _ in range(2)]
    assert answers == [302, 302]
    assert case.events.filter(act=Act.ARRIVED).count() == 1
