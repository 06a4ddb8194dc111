import re

import pytest
from django.urls import reverse

from labcases.cases.actions.moves import finish_stage, hold_stage, start_stage
from labcases.cases.actions.returns import send_back
from labcases.cases.models import Case
from labcases.measurements.actions.finishing import finish_bench_stage
from labcases.measurements.actions.readings import correct_reading, record_readings
from labcases.tickets.actions import issue_ticket
from tests.bench.benchwork import an_hour_ago, coming_case, seen, stage_at_work, text, waiting_stage
from tests.factories.measurements import NormFactory, entry
from tests.factories.people import ClinicianFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician():
    return TechnicianFactory()


def open_sheet(client, user, stage):
    client.force_login(user)
    return client.get(reverse("bench:sheet", args=[stage.pk]))


def boxes(response):
    return set(re.findall(r'name="((?:maxillary|mandibular|patient)-\w+-1)"', response.content.decode()))


LIP_LINE = (entry("papilla_to_resting_lip", "7.5"), entry("incisal_display", "1.0"))


def test_a_waiting_stage_shows_its_specification_and_one_start_button(client, technician):
    stage = waiting_stage(to=technician, figures=[*LIP_LINE, entry("sulcus_to_papilla", "12.5")])

    response = open_sheet(client, technician, stage)

    assert response.content.decode().count(f'action="{reverse("bench:start", args=[stage.pk])}"') == 1
    assert boxes(response) == set()
    assert "Anterior height target 21.0 mm ± 0.7 limits 20.0 to 22.0" in text(response)
    assert "Case number on cast and paper compared" in text(response)


def test_a_started_stage_has_boxes_for_every_figure_its_specification_asks(client, technician):
    stage = stage_at_work(by=technician, arches="maxillary")

    response = open_sheet(client, technician, stage)

    lines = stage.case.specifications.get(stage_kind="occlusion_rims").lines.filter(measurable=True)
    assert {f"maxillary-{line.name}-1" for line in lines} <= boxes(response)
    assert "Save and finish" in text(response)
    assert reverse("bench:start", args=[stage.pk]) not in response.content.decode()


def test_every_target_says_why_on_the_page_itself(client, technician):
    stage = stage_at_work(by=technician, figures=[*LIP_LINE, entry("sulcus_to_papilla", "12.5")])

    said = text(open_sheet(client, technician, stage))

    line = stage.case.specifications.order_by("-revision")[0].lines.get(
        arch="maxillary", name="anterior_height"
    )
    assert line.why in said
    assert f"Source: {line.source}".split(" (")[0] in said


def test_a_figure_within_its_limits_is_said_in_word_with_its_distance(client, technician):
    stage = stage_at_work(by=technician)
    record_readings(stage=stage, entries=[entry("anterior_height", "22.0")], by=technician, now=an_hour_ago())

    response = open_sheet(client, technician, stage)

    assert "22.0 mm within Within the configured limits, 1.00 from the nearer one." in text(response)
    assert "maxillary-anterior_height-1" not in boxes(response)


def test_a_figure_outside_is_offered_to_be_measured_again(client, technician):
    stage = stage_at_work(by=technician)
    [reading] = record_readings(
        stage=stage, entries=[entry("anterior_height", "25.0")], by=technician, now=an_hour_ago()
    )

    response = open_sheet(client, technician, stage)

    assert "outside Outside the configured limits by 2.00." in text(response)
    link = f'href="{reverse("bench:correct", args=[reading.pk])}">Measure again'
    assert link in response.content.decode()


def test_the_figure_of_an_earlier_stage_stands_beside_the_box(client, technician):
    stage = stage_at_work(by=technician, kind="master_cast")
    record_readings(
        stage=stage, entries=[entry("sulcus_to_papilla", "12.5")], by=technician, now=an_hour_ago()
    )
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())
    base = seen(Case.objects.get(pk=stage.case_id).current_stage)
    start_stage(stage=base, by=technician, expected_version=base.version, now=an_hour_ago())

    assert "before 12.5 mm (master cast)" in text(open_sheet(client, technician, seen(base)))


def test_a_corrected_figure_stays_struck_through(client, technician):
    stage = stage_at_work(by=technician)
    [wrong] = record_readings(
        stage=stage, entries=[entry("anterior_height", "25.0")], by=technician, now=an_hour_ago()
    )
    correct_reading(
        reading=wrong,
        entry=entry("anterior_height", "22.1"),
        reason="Read wrongly",
        by=technician,
        now=an_hour_ago(),
    )

    response = open_sheet(client, technician, stage)

    assert "<del>25.0 mm</del>" in response.content.decode()
    assert "22.1 mm" in text(response)
    assert "Read wrongly" in text(response)


def test_a_stage_on_hold_says_why_and_can_be_taken_up_again(client, technician):
    stage = stage_at_work(by=technician)
    hold_stage(
        stage=stage, by=technician, expected_version=stage.version, reason="No wax left", now=an_hour_ago()
    )

    response = open_sheet(client, technician, stage)

    assert "No wax left" in text(response)
    assert reverse("bench:resume", args=[stage.pk]) in response.content.decode()
    assert boxes(response) == set()


def test_a_finished_stage_is_read_only_and_says_by_whom(client, technician):
    stage = stage_at_work(by=technician, kind="processing")
    finish_bench_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())

    response = open_sheet(client, technician, stage)

    assert f"Finished By {technician.display_name}" in text(response)
    assert 'id="sheet"' not in response.content.decode()


def test_a_case_that_has_not_arrived_cannot_be_started_but_received(client, technician):
    case = coming_case()

    response = open_sheet(client, technician, case.current_stage)

    assert "has not been received" in text(response)
    assert reverse("bench:receive", args=[case.number]) in response.content.decode()
    assert reverse("bench:start", args=[case.current_stage.pk]) not in response.content.decode()


def test_work_that_came_back_says_from_where_and_why(client, technician):
    base = stage_at_work(by=technician, kind="record_base")
    finish_stage(stage=base, by=technician, expected_version=base.version, now=an_hour_ago())
    rims = seen(Case.objects.get(pk=base.case_id).current_stage)
    send_back(
        stage=rims,
        to=base,
        cause="base_unstable",
        note="Rocks over the palate.",
        by=technician,
        expected_version=rims.version,
        now=an_hour_ago(),
    )
    again = Case.objects.get(pk=base.case_id).current_stage

    said = text(open_sheet(client, technician, again))

    assert "Came back from occlusion rims: base unstable Rocks over the palate." in said


def test_a_new_revision_shows_what_changed(client, technician):
    stage = stage_at_work(by=technician, figures=LIP_LINE)
    record_readings(
        stage=stage, entries=[entry("sulcus_to_papilla", "12.5")], by=technician, now=an_hour_ago()
    )

    said = text(open_sheet(client, technician, stage))

    assert "revision 2" in said
    assert "Anterior height: 22.0 mm (21.0 to 23.0) becomes 21.0 mm (20.0 to 22.0)" in said


def test_the_drawing_shows_each_arch_with_its_dimensions(client, technician):
    stage = stage_at_work(by=technician)

    content = open_sheet(client, technician, stage).content.decode()

    for arch in ("maxillary", "mandibular"):
        drawing = content.split(f'id="drawing-{arch}"')[1].split("</svg>")[0]
        assert 'data-dimension="anterior_height"' in drawing


def test_what_was_typed_and_not_saved_is_back_in_its_box(client, technician):
    stage = stage_at_work(by=technician)
    client.force_login(technician)
    client.post(reverse("bench:draft", args=[stage.pk]), {"maxillary-anterior_height-1": "21,4"})

    response = open_sheet(client, technician, stage)

    assert re.search(r'name="maxillary-anterior_height-1" value="21,4"', response.content.decode())
    assert "What was typed and not saved is back in its boxes." in text(response)


def test_a_stage_of_the_clinic_leads_to_its_case(client, technician):
    case = coming_case()
    clinic = case.stages.get(kind="try_in")

    response = open_sheet(client, technician, clinic)

    assert response.url == reverse("bench:case", args=[case.number])


def test_an_unknown_stage_is_not_found(client, technician):
    client.force_login(technician)
    assert client.get(reverse("bench:sheet", args=[999_999_999_999])).status_code == 404


def test_a_clinician_has_no_bench_sheet(client):
    case = coming_case()
    assert open_sheet(client, case.prescriber, case.current_stage).status_code == 403
    assert open_sheet(client, ClinicianFactory(), case.current_stage).status_code == 403


@pytest.mark.parametrize("state", ["waiting", "at_work"])
def test_more_figures_take_no_more_queries(client, technician, django_assert_max_num_queries, state):
    make = waiting_stage(to=technician) if state == "waiting" else stage_at_work(by=technician)
    url = reverse("bench:sheet", args=[make.pk])
    client.force_login(technician)
    record_readings(stage=make, entries=[entry("anterior_height", "22.0")], by=technician, now=an_hour_ago())
    with django_assert_max_num_queries(12) as one:
        client.get(url)
    more = [
        entry("anterior_width", "8.0"),
        entry("posterior_width", "10.0"),
        entry("sulcus_to_papilla", "12.5"),
    ]
    record_readings(stage=make, entries=more, by=technician, now=an_hour_ago())
    with django_assert_max_num_queries(12) as more_rows:
        client.get(url)
    assert len(one) == len(more_rows)


@pytest.mark.parametrize("arches", ["maxillary", "both"])
def test_a_laboratory_with_its_own_standard_needs_no_more(
    client, technician, django_assert_max_num_queries, arches
):
    NormFactory()
    stage = stage_at_work(by=technician, arches=arches, figures=LIP_LINE)
    record_readings(
        stage=stage, entries=[entry("sulcus_to_papilla", "12.5")], by=technician, now=an_hour_ago()
    )
    issue_ticket(stage=stage, by=technician, now=an_hour_ago())
    client.force_login(technician)
    with django_assert_max_num_queries(12):
        client.get(reverse("bench:sheet", args=[stage.pk]))
