import pytest
from django.urls import reverse

from labcases.cases.actions.moves import finish_stage
from labcases.measurements.actions.readings import record_readings
from tests.bench.benchwork import an_hour_ago, form, seen, stage_at_work, text
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


def finish(client, stage, **fields):
    return client.post(reverse("bench:finish", args=[stage.pk]), form(stage, **fields))


def on_target(stage):
    """Every figure that the specification asks for, each at its target."""
    lines = stage.case.specifications.filter(stage_kind=stage.kind).order_by("-revision").first().lines.all()
    return {
        f"{line.arch}-{line.name}-1": f"{line.target.normalize():f}"
        for line in lines
        if line.measurable and line.target is not None
    }


def test_a_stage_without_figures_is_finished_by_one_button(client, technician):
    stage = stage_at_work(by=technician, kind="processing")

    answer = finish(client, stage)

    assert answer.url == reverse("bench:work")
    assert seen(stage).state == "done"
    assert f"Processing and finishing of {stage.case.number} is finished." in text(client.get(answer.url))


def test_figures_typed_are_saved_and_the_stage_is_finished_by_the_same_button(client, technician):
    stage = stage_at_work(by=technician)

    answer = finish(client, stage, **on_target(stage))

    assert answer.url == reverse("bench:work")
    assert seen(stage).state == "done"
    assert stage.readings.count() == len(on_target(stage))


def test_a_figure_outside_is_kept_and_the_next_page_says_what_stands_against_finishing(client, technician):
    stage = stage_at_work(by=technician)

    answer = finish(client, stage, **{**on_target(stage), "maxillary-anterior_height-1": "25.4"})

    assert answer.url == reverse("bench:finish", args=[stage.pk])
    assert seen(stage).state == "in_progress"
    assert stage.readings.filter(quantity="anterior_height", arch="maxillary").exists()
    said = text(client.get(answer.url))
    assert "Anterior height, maxillary: Outside the configured limits by 2.40." in said
    assert "ask a lab manager" in said
    assert "Finish all the same" not in said


def test_a_technician_cannot_finish_with_a_figure_outside_even_with_a_reason(client, technician):
    stage = stage_at_work(by=technician)
    finish(client, stage, **{**on_target(stage), "maxillary-anterior_height-1": "25.4"})

    answer = finish(client, stage, reason="Wanted so")

    assert answer.status_code == 403
    assert "Wanted so" in text(answer)
    assert seen(stage).state == "in_progress"


def test_who_is_allowed_finishes_with_a_reason_that_stays(client):
    allowed = TechnicianFactory(may_release_outside=True)
    client.force_login(allowed)
    stage = stage_at_work(by=allowed)
    finish(client, stage, **{**on_target(stage), "maxillary-anterior_height-1": "25.4"})

    answer = finish(client, stage, reason="The prescriber asked for a long rim")

    assert answer.url == reverse("bench:work")
    assert seen(stage).state == "done"
    event = stage.events.get(act="finished")
    assert event.reason == "The prescriber asked for a long rim"
    assert event.after["against"] == ["Anterior height, maxillary: Outside the configured limits by 2.40."]


def test_no_figure_at_all_asks_for_a_reason_that_anyone_at_the_bench_may_give(client, technician):
    stage = stage_at_work(by=technician)

    asked = finish(client, stage)

    assert "Nothing of what the specification asks has been measured yet." in text(client.get(asked.url))
    assert finish(client, stage, reason="").status_code == 422
    assert seen(stage).state == "in_progress"
    assert finish(client, stage, reason="Cast broken at the sulcus").url == reverse("bench:work")
    assert seen(stage).state == "done"


def test_a_single_figure_left_out_is_no_obstacle(client, technician):
    stage = stage_at_work(by=technician)
    rest = on_target(stage)
    del rest["maxillary-anterior_height-1"]

    assert finish(client, stage, **rest).url == reverse("bench:work")
    assert seen(stage).state == "done"
    assert "1 figure was not measured." in text(client.get(reverse("bench:work")))


def test_a_page_as_somebody_left_it_before_does_not_finish(client, technician):
    stage = stage_at_work(by=technician, kind="processing")
    other = ManagerFactory()
    finish_stage(stage=stage, by=other, expected_version=stage.version, now=an_hour_ago())

    answer = finish(client, stage)

    assert answer.status_code == 409
    assert other.display_name in text(answer)
    assert stage.events.filter(act="finished").count() == 1


def test_a_conflict_saves_no_figure_and_lists_it(client, technician):
    stage = stage_at_work(by=technician)
    stale = form(stage, **on_target(stage))
    stale["version"] = stage.version - 1

    answer = client.post(reverse("bench:finish", args=[stage.pk]), stale)

    assert answer.status_code == 409
    assert stage.readings.count() == 0
    assert "maxillary anterior height 1" in text(answer).lower()


def test_an_unusual_figure_is_asked_about_before_anything_is_finished(client, technician):
    stage = stage_at_work(by=technician)

    asked = finish(client, stage, **{**on_target(stage), "maxillary-anterior_height-1": "31"})

    assert asked.status_code == 422
    button = f'formaction="{reverse("bench:finish", args=[stage.pk])}">Keep it, and save'
    assert button in asked.content.decode()
    assert stage.readings.count() == 0


def test_sent_twice_it_is_finished_once(client, technician):
    stage = stage_at_work(by=technician, kind="processing")
    sent = form(stage)
    url = reverse("bench:finish", args=[stage.pk])

    assert client.post(url, sent).url == client.post(url, sent).url
    assert stage.events.filter(act="finished").count() == 1


def test_the_page_of_a_stage_that_is_not_at_work_leads_to_its_sheet(client, technician):
    stage = stage_at_work(by=technician, kind="processing")
    finish(client, stage)

    answer = client.get(reverse("bench:finish", args=[stage.pk]))

    assert answer.url == reverse("bench:sheet", args=[stage.pk])


def test_the_page_takes_no_more_queries_for_more_findings(client, technician, django_assert_max_num_queries):
    stage = stage_at_work(by=technician)
    url = reverse("bench:finish", args=[stage.pk])
    with django_assert_max_num_queries(12) as few:
        client.get(url)
    outside = [entry("anterior_height", "25.4"), entry("anterior_width", "9.9")]
    record_readings(stage=stage, entries=outside, by=technician, now=an_hour_ago())
    with django_assert_max_num_queries(12) as more:
        client.get(url)
    assert len(few) == len(more)
