import pytest

from labcases.cases.choices import Location
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else, work_through

pytestmark = pytest.mark.django_db


def test_only_managers_hand_over_here(client):
    assert refused_to_everybody_else(client, "office:hand_over", case_now().number, method="post")


def test_finished_work_sets_off_for_the_clinic_once(client):
    manager = as_manager(client)
    case = case_now()
    work_through(case, "definitive_impressions", manager)
    assert post(client, "office:hand_over", case.number).status_code == 302
    case.refresh_from_db()
    assert case.location == Location.TO_CLINIC
    assert post(client, "office:hand_over", case.number).status_code == 409


def test_unfinished_work_stays_here(client):
    as_manager(client)
    case = case_now()
    response = post(client, "office:hand_over", case.number)
    assert response.status_code == 422
    assert "work left at the laboratory" in response.content.decode()
