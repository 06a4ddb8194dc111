import pytest
from django.urls import reverse

from labcases.cases.actions.moves import start_stage
from tests.bench.benchwork import an_hour_ago, coming_case, form, seen, text, waiting_stage
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


def start(client, stage, **fields):
    return client.post(reverse("bench:start", args=[stage.pk]), form(stage, **fields))


def test_starting_opens_the_figures_and_makes_an_unassigned_stage_ones_own(client, technician):
    stage = waiting_stage()

    answer = start(client, stage)

    assert answer.url == reverse("bench:sheet", args=[stage.pk]) + "#figures"
    assert (seen(stage).state, seen(stage).assignee) == ("in_progress", technician)


def test_starting_what_was_given_to_somebody_else_leaves_it_theirs(client, technician):
    other = TechnicianFactory()
    stage = waiting_stage(to=other)

    assert f"It stays with {other.display_name}" in text(client.get(reverse("bench:sheet", args=[stage.pk])))
    start(client, stage)

    assert (seen(stage).state, seen(stage).assignee) == ("in_progress", other)


def test_starting_twice_with_one_form_starts_once(client, technician):
    stage = waiting_stage()
    sent = form(stage)
    url = reverse("bench:start", args=[stage.pk])

    assert client.post(url, sent).url == client.post(url, sent).url
    assert stage.events.filter(act="started").count() == 1


def test_who_comes_second_sees_who_was_first(client, technician):
    stage = waiting_stage()
    other = TechnicianFactory()
    start_stage(stage=stage, by=other, expected_version=stage.version, now=an_hour_ago())

    answer = start(client, stage)

    assert answer.status_code == 409
    assert other.display_name in text(answer)


def test_a_case_that_has_not_arrived_is_not_started(client, technician):
    stage = coming_case().current_stage

    answer = start(client, stage)

    assert answer.status_code == 422
    assert "has not been received" in text(answer)
    assert seen(stage).state == "waiting"


def test_going_to_the_address_starts_nothing(client, technician):
    stage = waiting_stage()

    assert client.get(reverse("bench:start", args=[stage.pk])).url == reverse("bench:sheet", args=[stage.pk])
    assert seen(stage).state == "waiting"
