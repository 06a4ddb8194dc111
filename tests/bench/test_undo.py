import datetime

import pytest
from django.urls import reverse

from tests.bench.benchwork import form, seen, stage_at_work, text, waiting_stage
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


def last_event(stage):
    return stage.events.order_by("-pk").first()


def send(client, route, stage, **fields):
    return client.post(reverse(f"bench:{route}", args=[stage.pk]), form(seen(stage), **fields))


def undo(client, stage):
    return send(client, "undo", stage, event=last_event(stage).pk)


def test_what_was_finished_is_offered_back_on_my_work(client, technician):
    stage = stage_at_work(by=technician, kind="processing")
    assert send(client, "finish", stage).url == reverse("bench:work")
    page = client.get(reverse("bench:work"))
    assert f"Finished: processing and finishing of {stage.case.number}." in text(page)
    assert reverse("bench:undo", args=[stage.pk]) in page.text
    answer = undo(client, stage)
    assert answer.url == reverse("bench:sheet", args=[stage.pk])
    assert seen(stage).state == "in_progress"
    assert "Taken back: finished." in text(client.get(answer.url))


def test_figures_saved_with_the_finish_stay_measured(client, technician):
    stage = stage_at_work(by=technician)
    send(client, "finish", stage, maxillary__anterior_height__1="22")
    assert (seen(stage).state, stage.readings.count()) == ("done", 1)
    undo(client, stage)
    assert (seen(stage).state, stage.readings.count()) == ("in_progress", 1)


def test_starting_holding_and_ticking_are_offered_back_on_the_sheet(client, technician):
    stage = waiting_stage(kind="processing")
    sheet = reverse("bench:sheet", args=[stage.pk])
    for route, fields, words in (
        ("start", {}, "Started: processing"),
        ("tick_all", {}, "Ticked: processing"),
        ("hold", {"hold_reason": "flask is in use"}, "Put on hold: processing"),
    ):
        send(client, route, stage, **fields)
        assert words in text(client.get(sheet))
    undo(client, stage)
    assert seen(stage).state == "in_progress"
    assert "Undo" not in text(client.get(sheet))


def test_who_did_nothing_just_now_is_offered_nothing(client, technician):
    stage = stage_at_work(by=technician)
    assert "Undo" not in text(client.get(reverse("bench:sheet", args=[stage.pk])))
    assert "Undo" not in text(client.get(reverse("bench:work")))


def test_too_late_is_said_and_nothing_changes(client, technician, monkeypatch):
    stage = stage_at_work(by=technician, kind="processing")
    send(client, "finish", stage)
    monkeypatch.setattr("labcases.cases.actions.undoing.UNDO_WITHIN", datetime.timedelta(0))
    answer = undo(client, stage)
    assert answer.status_code == 422
    assert "seconds have passed" in text(answer)
    assert seen(stage).state == "done"


def test_an_event_of_another_stage_is_unknown(client, technician):
    stage, other = stage_at_work(by=technician), stage_at_work(by=technician)
    answer = send(client, "undo", stage, event=last_event(other).pk)
    assert answer.status_code == 404
    assert send(client, "undo", stage, event="x").status_code == 404
