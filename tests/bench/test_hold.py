import pytest
from django.urls import reverse

from tests.bench.benchwork import form, seen, stage_at_work, text
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stage(client):
    user = TechnicianFactory()
    client.force_login(user)
    return stage_at_work(by=user)


def hold(client, stage, **fields):
    return client.post(reverse("bench:hold", args=[stage.pk]), form(stage, **fields))


def test_holding_keeps_what_was_typed(client, stage):
    answer = hold(client, stage, hold_reason="Asked the practice", maxillary__anterior_height__1="22.1")

    assert answer.url == reverse("bench:sheet", args=[stage.pk])
    assert (seen(stage).state, seen(stage).hold_reason) == ("on_hold", "Asked the practice")
    assert stage.readings.count() == 1


def test_a_hold_needs_a_reason_and_what_was_typed_stays(client, stage):
    answer = hold(client, stage, hold_reason=" ", maxillary__anterior_height__1="22.1")

    assert answer.status_code == 422
    assert "Say why the stage is put on hold." in text(answer)
    assert 'value="22.1"' in answer.content.decode()
    assert seen(stage).state == "in_progress"
    assert stage.readings.count() == 0


def test_a_page_from_before_somebody_elses_move_is_a_conflict(client, stage):
    hold(client, stage, hold_reason="First")

    answer = hold(client, stage, hold_reason="Second")

    assert answer.status_code == 409
    assert "Second" in text(answer)
    assert seen(stage).hold_reason == "First"
