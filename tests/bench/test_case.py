import pytest
from django.urls import reverse

from labcases.cases.actions.moves import finish_stage
from tests.bench.benchwork import an_hour_ago, coming_case, stage_at_work, text
from tests.factories.people import ClinicianFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


def open_case(client, case):
    return client.get(reverse("bench:case", args=[case.number]))


def test_a_technician_reads_where_a_case_is_and_opens_its_sheets(client, technician):
    stage = stage_at_work(by=technician, shade="Warm and light")

    answer = open_case(client, stage.case)

    assert "Where At the laboratory Next Occlusion rims" in text(answer)
    assert "Warm and light" in text(answer)
    assert "Disinfectant A, 10 min (label asks 10)" in text(answer)
    assert reverse("bench:sheet", args=[stage.pk]) in answer.content.decode()


def test_the_way_of_the_case_stands_in_words_too(client, technician):
    stage = stage_at_work(by=technician)

    assert "Occlusion rims, at the laboratory, in progress" in text(open_case(client, stage.case))


def test_an_arrival_can_be_received_from_here(client, technician):
    case = coming_case()

    content = open_case(client, case).content.decode()

    assert reverse("bench:receive", args=[case.number]) in content
    assert reverse("bench:hand_over", args=[case.number]) not in content


def test_work_for_the_clinic_can_be_handed_over_from_here(client, technician):
    stage = stage_at_work(by=technician)
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())

    content = open_case(client, stage.case).content.decode()

    assert f'action="{reverse("bench:hand_over", args=[stage.case.number])}"' in content


def test_a_number_is_forgiven_its_case_and_dashes(client, technician):
    case = coming_case()

    assert client.get(f"/bench/cases/{case.number.replace('-', '').lower()}").status_code == 200


def test_a_mistyped_number_is_not_found(client, technician):
    case = coming_case()
    wrong = case.number[:-1] + ("A" if case.number[-1] != "A" else "B")

    assert client.get(reverse("bench:case", args=[wrong])).status_code == 404


def test_a_clinician_has_pages_of_their_own(client):
    case = coming_case()
    for user in (case.prescriber, ClinicianFactory()):
        client.force_login(user)
        assert open_case(client, case).status_code == 403


def test_a_longer_way_takes_no_more_queries(client, technician, django_assert_max_num_queries):
    short = stage_at_work(by=technician, kind="processing").case
    long = stage_at_work(by=technician, kind="custom_tray").case
    with django_assert_max_num_queries(12) as few:
        open_case(client, short)
    with django_assert_max_num_queries(12) as more:
        open_case(client, long)
    assert len(few) == len(more)
