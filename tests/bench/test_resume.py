import pytest
from django.urls import reverse

from labcases.cases.actions.moves import hold_stage
from tests.bench.benchwork import an_hour_ago, form, seen, stage_at_work
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def held(client):
    user = TechnicianFactory()
    client.force_login(user)
    stage = stage_at_work(by=user)
    hold_stage(stage=stage, by=user, expected_version=stage.version, reason="No wax", now=an_hour_ago())
    return seen(stage)


def test_a_held_stage_is_taken_up_again(client, held):
    answer = client.post(reverse("bench:resume", args=[held.pk]), form(held))

    assert answer.url == reverse("bench:sheet", args=[held.pk])
    assert (seen(held).state, seen(held).hold_reason) == ("in_progress", "")


def test_an_old_page_does_not_take_up_again(client, held):
    stale = form(held)
    client.post(reverse("bench:resume", args=[held.pk]), form(held))

    assert client.post(reverse("bench:resume", args=[held.pk]), stale).status_code == 409
    assert held.events.filter(act="resumed").count() == 1


def test_going_to_the_address_changes_nothing(client, held):
    assert client.get(reverse("bench:resume", args=[held.pk])).url == reverse("bench:sheet", args=[held.pk])
    assert seen(held).state == "on_hold"
