"""Saving the sheet: figures, instruments, unusual ones, ticks, all or nothing."""

from decimal import Decimal

import pytest
from django.urls import reverse

from labcases.measurements.actions.readings import record_readings
from tests.bench.benchwork import an_hour_ago, form, seen, stage_at_work, text
from tests.factories.measurements import entry
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def stage(technician):
    return stage_at_work(by=technician)


@pytest.fixture
def save(client, technician, stage):
    client.force_login(technician)

    def send(**fields):
        return client.post(reverse("bench:record", args=[stage.pk]), form(stage, **fields))

    return send


def readings(stage):
    return {
        (reading.quantity, reading.arch): reading
        for reading in stage.readings.filter(superseded_by__isnull=True)
    }


def test_figures_are_saved_with_their_repeats_and_instrument(save, stage, technician):
    answer = save(
        maxillary__anterior_height__1="22,1",
        maxillary__anterior_height__2="22.3",
        mandibular__anterior_height__1="18 mm",
        instrument_mm="vernier_caliper",
    )

    assert answer.url == reverse("bench:sheet", args=[stage.pk]) + "#figures"
    upper = readings(stage)["anterior_height", "maxillary"]
    assert (upper.value, upper.repeats, upper.instrument, upper.by) == (
        Decimal("22.2"),
        ["22.1", "22.3"],
        "vernier_caliper",
        technician,
    )
    assert readings(stage)["anterior_height", "mandibular"].value == Decimal(18)


def test_an_instrument_of_its_own_goes_before_the_one_chosen_above(save, stage):
    save(
        maxillary__anterior_height__1="22.1",
        maxillary__anterior_face_length__1="22.4",
        **{"maxillary-anterior_face_length-instrument": "flexible_rule"},
    )

    kept = readings(stage)
    assert kept["anterior_height", "maxillary"].instrument == "digital_caliper"
    assert kept["anterior_face_length", "maxillary"].instrument == "flexible_rule"


def test_an_angle_takes_the_instrument_for_angles(save, stage):
    save(maxillary__labial_inclination__1="98", instrument_deg="plane_guide")

    assert readings(stage)["labial_inclination", "maxillary"].instrument == "plane_guide"


def test_the_instrument_used_last_is_chosen_next_time(client, save, stage):
    save(maxillary__anterior_height__1="22.1", instrument_mm="boley_gauge")

    sheet = client.get(reverse("bench:sheet", args=[stage.pk]))

    assert sheet.context["form"]["instrument_mm"].value() == "boley_gauge"


def test_what_is_no_figure_keeps_everything_in_its_box(save, stage):
    answer = save(maxillary__anterior_height__1="22.1", maxillary__anterior_width__1="about 8")

    assert answer.status_code == 422
    assert readings(stage) == {}
    content = answer.content.decode()
    assert 'value="22.1"' in content
    assert 'value="about 8"' in content
    assert 'href="#id_maxillary-anterior_width-1"' in content


def test_an_impossible_figure_is_refused_with_what_is_possible(save, stage):
    answer = save(maxillary__anterior_height__1="222")

    assert answer.status_code == 422
    assert "5 to 45 mm" in text(answer)
    assert readings(stage) == {}


def test_an_unusual_figure_is_kept_after_one_confirming_tap(save, stage):
    asked = save(maxillary__anterior_height__1="31", maxillary__anterior_width__1="8.1")

    assert asked.status_code == 422
    assert "31.0 mm is unusual, mostly it is 14.0 to 29.0 mm." in text(asked)
    assert readings(stage) == {}
    assert 'name="keep" value="maxillary-anterior_height"' in asked.content.decode()

    save(
        maxillary__anterior_height__1="31",
        maxillary__anterior_width__1="8.1",
        keep="maxillary-anterior_height",
    )

    assert readings(stage)["anterior_height", "maxillary"].value == Decimal(31)
    assert readings(stage)["anterior_width", "maxillary"].value == Decimal("8.1")


def test_one_confirmed_figure_does_not_confirm_another(save, stage):
    fields = {"maxillary__anterior_height__1": "31", "mandibular__anterior_height__1": "30"}

    answer = save(**fields, keep="maxillary-anterior_height")

    assert answer.status_code == 422
    assert readings(stage) == {}
    content = answer.content.decode()
    assert '<input type="hidden" name="keep" value="maxillary-anterior_height">' in content
    assert 'type="submit" name="keep" value="mandibular-anterior_height"' in content


def test_a_form_sent_twice_records_once(client, technician, stage):
    client.force_login(technician)
    sent = form(stage, maxillary__anterior_height__1="22.1")

    first = client.post(reverse("bench:record", args=[stage.pk]), sent)
    second = client.post(reverse("bench:record", args=[stage.pk]), sent)

    assert first.url == second.url
    assert stage.readings.count() == 1


def test_a_figure_that_somebody_else_recorded_first_is_a_conflict_that_lists_what_was_typed(save, stage):
    other = TechnicianFactory()
    record_readings(stage=stage, entries=[entry("anterior_height", "22.0")], by=other, now=an_hour_ago())

    answer = save(maxillary__anterior_height__1="23.9", maxillary__anterior_width__1="8.1")

    assert answer.status_code == 409
    assert "23.9" in text(answer)
    assert "8.1" in text(answer)
    assert set(readings(stage)) == {("anterior_height", "maxillary")}


def test_what_a_conflict_kept_from_being_saved_is_back_in_its_box(client, save, stage):
    record_readings(
        stage=stage, entries=[entry("anterior_height", "22.0")], by=TechnicianFactory(), now=an_hour_ago()
    )
    save(maxillary__anterior_height__1="23.9", maxillary__anterior_width__1="8.1")

    sheet = client.get(reverse("bench:sheet", args=[stage.pk])).content.decode()

    assert 'name="maxillary-anterior_width-1" value="8.1"' in sheet


def test_saved_figures_leave_no_draft(client, save, stage):
    client.post(reverse("bench:draft", args=[stage.pk]), {"maxillary-anterior_width-1": "8.1"})
    save(maxillary__anterior_width__1="8.1")

    assert client.get(reverse("bench:sheet", args=[stage.pk])).context["has_draft"] is False
    assert client.session["drafts"] == {}


def test_ticks_are_saved_with_the_figures(save, stage):
    first, second, *_ = stage.steps.all()
    shown = [step.pk for step in stage.steps.all()]

    save(step=[first.pk, second.pk], step_shown=shown, maxillary__anterior_height__1="22.1")

    assert list(stage.steps.filter(done_at__isnull=False)) == [first, second]
    assert stage.readings.count() == 1


def test_a_tick_that_somebody_set_meanwhile_stays(client, technician, save, stage):
    first, second, *_ = stage.steps.all()
    client.post(reverse("bench:tick", args=[stage.pk, first.pk]), {"step": first.pk})

    save(step=[second.pk], step_shown=[first.pk, second.pk])

    assert list(stage.steps.filter(done_at__isnull=False)) == [first, second]


def test_a_tick_taken_away_is_taken_back(client, technician, save, stage):
    first, second, *_ = stage.steps.all()
    client.post(reverse("bench:tick", args=[stage.pk, first.pk]), {"step": first.pk})

    save(step=[], step_seen=[first.pk], step_shown=[first.pk, second.pk])

    assert not stage.steps.filter(done_at__isnull=False).exists()


def test_a_figure_of_a_finished_stage_is_a_conflict(client, technician, save, stage):
    client.post(reverse("bench:finish", args=[stage.pk]), form(stage, reason="Figures come later"))
    assert seen(stage).state == "done"

    answer = save(maxillary__anterior_height__1="22.1")

    assert answer.status_code == 409
    assert "22.1" in text(answer)


def test_going_to_the_address_leads_to_the_sheet_and_changes_nothing(client, technician, stage):
    client.force_login(technician)

    answer = client.get(reverse("bench:record", args=[stage.pk]), {"maxillary-anterior_height-1": "22"})

    assert answer.url == reverse("bench:sheet", args=[stage.pk])
    assert stage.readings.count() == 0
