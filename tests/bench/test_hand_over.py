import pytest
from django.urls import reverse

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.moves import finish_stage
from tests.bench.benchwork import an_hour_ago, form, stage_at_work, text, waiting_stage
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


@pytest.fixture
def ready(technician):
    stage = stage_at_work(by=technician)
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())
    return stage.case


def hand_over(client, case):
    return client.post(reverse("bench:hand_over", args=[case.number]), form())


def test_a_case_whose_next_stage_is_at_the_clinic_is_handed_over(client, ready):
    answer = hand_over(client, ready)

    assert answer.url == reverse("bench:work")
    ready.refresh_from_db()
    assert ready.location == "to_clinic"
    assert f"{ready.number} is on its way to {ready.practice.name}." in text(client.get(answer.url))


def test_a_case_with_work_left_is_refused(client, technician):
    case = waiting_stage(to=technician).case

    answer = hand_over(client, case)

    assert answer.status_code == 422
    assert "has work left at the laboratory" in text(answer)


def test_who_comes_second_is_told(client, ready):
    hand_to_clinic(case=ready, by=TechnicianFactory(), now=an_hour_ago())

    assert hand_over(client, ready).status_code == 409
    assert ready.events.filter(act="handed_over").count() == 1


def test_going_to_the_address_hands_nothing_over(client, ready):
    answer = client.get(reverse("bench:hand_over", args=[ready.number]))

    assert answer.url == reverse("bench:case", args=[ready.number])
    ready.refresh_from_db()
    assert ready.location == "laboratory"
