from decimal import Decimal

import pytest
from django.urls import reverse

from labcases.measurements.actions.readings import record_readings
from tests.bench.benchwork import an_hour_ago, form, stage_at_work, text
from tests.factories.measurements import ReadingFactory, entry
from tests.factories.people import ClinicianFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
REWORKED = "Work changed, then measured again"


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


@pytest.fixture
def reading(technician):
    stage = stage_at_work(by=technician)
    [taken] = record_readings(
        stage=stage, entries=[entry("anterior_height", "25.4")], by=technician, now=an_hour_ago()
    )
    return taken


def correct(client, reading, **fields):
    sent = form(**{"instrument": "digital_caliper", "reason": REWORKED, **fields})
    return client.post(reverse("bench:correct", args=[reading.pk]), sent)


def test_the_page_shows_what_stands_and_what_is_asked(client, reading):
    said = text(client.get(reverse("bench:correct", args=[reading.pk])))

    assert "Stands now 25.4 mm" in said
    assert "Target 22.0 mm (21.0 to 23.0)" in said


def test_a_correction_leads_back_to_its_row_and_keeps_the_old_figure(client, reading, technician):
    answer = correct(client, reading, reading__1="22.1", reading__2="22.3")

    stage = reading.stage
    assert answer.url == reverse("bench:sheet", args=[stage.pk]) + "#dimension-maxillary-anterior_height"
    new = stage.readings.get(supersedes=reading)
    assert (new.value, new.reason, new.verdict) == (Decimal("22.2"), REWORKED, "within")
    reading.refresh_from_db()
    assert reading.value == Decimal("25.4")


def test_own_words_follow_the_reason_chosen(client, reading):
    correct(client, reading, reading__1="22.1", other="trimmed the front")

    assert reading.stage.readings.get(supersedes=reading).reason == f"{REWORKED}: trimmed the front"


def test_something_else_needs_words(client, reading):
    answer = correct(client, reading, reading__1="22.1", reason="other")

    assert answer.status_code == 422
    assert "Say in your own words why the figure is corrected." in text(answer)
    assert 'value="22.1"' in answer.content.decode()
    assert reading.stage.readings.count() == 1


@pytest.mark.parametrize("missing", ["reason", "reading__1"])
def test_a_correction_needs_a_figure_and_a_reason(client, reading, missing):
    answer = correct(client, reading, **{"reading__1": "22.1", missing: ""})

    assert answer.status_code == 422
    assert reading.stage.readings.count() == 1


def test_an_unusual_correction_is_kept_after_one_confirming_tap(client, reading):
    asked = correct(client, reading, reading__1="31")
    assert asked.status_code == 422
    assert "31.0 mm is unusual" in text(asked)

    correct(client, reading, reading__1="31", keep="1")

    assert reading.stage.readings.get(supersedes=reading).value == Decimal(31)


def test_a_figure_that_was_corrected_meanwhile_is_a_conflict(client, reading):
    correct(client, reading, reading__1="22.1")

    answer = correct(client, reading, reading__1="21.9")

    assert answer.status_code == 409
    assert "21.9" in text(answer)
    assert reading.stage.readings.count() == 2
    assert "Already corrected" in text(client.get(reverse("bench:correct", args=[reading.pk])))


def test_sent_twice_it_is_corrected_once(client, reading):
    sent = form(reading__1="22.1", instrument="digital_caliper", reason=REWORKED)
    url = reverse("bench:correct", args=[reading.pk])

    assert client.post(url, sent).url == client.post(url, sent).url
    assert reading.stage.readings.count() == 2


def test_a_technician_does_not_correct_the_clinics_figures(client, reading):
    clinic = reading.case.stages.get(kind="jaw_relation")
    theirs = ReadingFactory(stage=clinic, quantity="anterior_height")

    assert client.get(reverse("bench:correct", args=[theirs.pk])).status_code == 403
    assert correct(client, theirs, reading__1="22.1").status_code == 403
    assert not hasattr(theirs, "superseded_by")


def test_an_unknown_figure_is_not_found(client, technician):
    assert client.get(reverse("bench:correct", args=[999_999])).status_code == 404


def test_a_clinician_corrects_nothing_at_the_bench(client, reading):
    client.force_login(ClinicianFactory(practice=reading.case.practice))
    assert correct(client, reading, reading__1="22.1").status_code == 403


def test_the_page_takes_few_queries(client, reading, django_assert_max_num_queries):
    with django_assert_max_num_queries(12):
        client.get(reverse("bench:correct", args=[reading.pk]))
