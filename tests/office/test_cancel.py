import pytest

from labcases.cases.choices import CaseState
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:cancel", case_now().number)


def test_a_case_is_cancelled_with_its_reason_and_nothing_is_deleted(client):
    as_manager(client)
    case = case_now()
    stages = case.stages.count()
    post(client, "office:cancel", case.number, version=case.version, reason="Sent by mistake")
    case.refresh_from_db()
    assert case.state == CaseState.CANCELLED
    assert case.stages.count() == stages
    assert case.events.get(act="cancelled").reason == "Sent by mistake"


def test_without_a_reason_it_stays_open(client):
    as_manager(client)
    case = case_now()
    assert post(client, "office:cancel", case.number, version=case.version, reason="").status_code == 422
    case.refresh_from_db()
    assert case.state == CaseState.OPEN


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    case = case_now()
    response = post(client, "office:cancel", case.number, version=case.version + 1, reason="By mistake")
    assert response.status_code == 409
