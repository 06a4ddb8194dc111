import pytest
from django.urls import reverse

from labcases.measurements.actions.finishing import finish_bench_stage
from tests.bench.benchwork import an_hour_ago, form, stage_at_work, text
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


@pytest.fixture
def stage(technician):
    return stage_at_work(by=technician, kind="processing")


def tick(client, stage, step, *, ticked=True, headers=None):
    sent = {"step": step.pk} if ticked else {}
    return client.post(reverse("bench:tick", args=[stage.pk, step.pk]), sent, headers=headers)


def test_a_tick_says_who_and_when(client, stage, technician):
    step = stage.steps.first()

    answer = tick(client, stage, step)

    assert answer.url == reverse("bench:sheet", args=[stage.pk]) + "#checklist"
    step.refresh_from_db()
    assert step.done_by == technician
    assert technician.display_name in text(client.get(answer.url)).split("Steps", 1)[1]


def test_a_tick_is_taken_back(client, stage):
    step = stage.steps.first()
    tick(client, stage, step)

    tick(client, stage, step, ticked=False)

    step.refresh_from_db()
    assert step.done_at is None


def test_a_tick_sent_twice_is_one_tick(client, stage):
    step = stage.steps.first()

    tick(client, stage, step)
    tick(client, stage, step)

    assert stage.events.filter(act="step_ticked").count() == 1


def test_htmx_gets_the_checklist_alone(client, stage):
    answer = tick(client, stage, stage.steps.first(), headers=HTMX)

    content = answer.content.decode().strip()
    assert answer.status_code == 200
    assert content.startswith('<section class="steps" id="checklist"')
    assert "<html" not in content
    assert f"1 of {stage.steps.count()} ticked" in text(answer)
    assert content.count('name="step_seen"') == 1


def test_a_tick_on_a_finished_stage_is_a_conflict_in_either_form(client, stage, technician):
    finish_bench_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())
    step = stage.steps.first()

    whole = tick(client, stage, step)
    part = tick(client, stage, step, headers=HTMX)

    assert whole.status_code == part.status_code == 409
    assert "<html" in whole.content.decode()
    assert part.content.decode().strip().startswith('<div id="conflict"')
    assert not stage.steps.filter(done_at__isnull=False).exists()


def test_a_step_of_another_stage_is_not_found(client, stage, technician):
    other = stage_at_work(by=technician, kind="processing")

    assert tick(client, stage, other.steps.first()).status_code == 404


def test_all_steps_are_ticked_by_one_button_that_keeps_what_was_typed(client, technician):
    stage = stage_at_work(by=technician)

    answer = client.post(
        reverse("bench:tick_all", args=[stage.pk]), form(stage, maxillary__anterior_height__1="22.1")
    )

    assert answer.url == reverse("bench:sheet", args=[stage.pk]) + "#checklist"
    assert not stage.steps.filter(done_at__isnull=True).exists()
    assert stage.readings.count() == 1


def test_all_steps_of_a_finished_stage_cannot_be_ticked(client, stage, technician):
    finish_bench_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())

    assert client.post(reverse("bench:tick_all", args=[stage.pk]), form(stage)).status_code == 409
