import pytest
from django.urls import reverse

from labcases.cases.choices import StageState
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def tray(case):
    return case.stages.get(kind="custom_tray")


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:skip", tray(case_now()).pk)


def test_a_stage_is_left_out_with_its_reason(client):
    as_manager(client)
    case = case_now()
    post(client, "office:skip", tray(case).pk, version=tray(case).version, reason="Made at the chair")
    case.refresh_from_db()
    assert tray(case).state == StageState.SKIPPED
    assert case.current_stage.kind == "definitive_impressions"
    assert case.events.get(act="skipped").reason == "Made at the chair"


def test_without_a_reason_it_stays(client):
    as_manager(client)
    case = case_now()
    response = post(client, "office:skip", tray(case).pk, version=tray(case).version, reason=" ")
    assert response.status_code == 422
    assert tray(case).state == StageState.WAITING


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    stage = tray(case_now())
    response = post(client, "office:skip", stage.pk, version=stage.version + 1, reason="Made at the chair")
    assert response.status_code == 409


def test_an_unknown_stage_is_not_found(client):
    as_manager(client)
    assert client.get(reverse("office:skip", args=[10**30])).status_code == 404
