import datetime

import pytest
from django.utils import timezone

from labcases.cases.choices import Act, CaseState
from labcases.cases.models import Case
from tests.clinic.chair import as_clinician, case_of, closed_to_others, get, post, text
from tests.factories.people import ClinicianFactory

pytestmark = pytest.mark.django_db

JAW = datetime.date(2030, 5, 7)


def typed(case, **changes):
    case.refresh_from_db()
    stages = case.stages.filter(place="clinic", due_on__isnull=False)
    return {stage.kind: stage.due_on for stage in stages} | {"version": case.version} | changes


def due(case, kind):
    return case.stages.get(kind=kind).due_on


def test_it_is_closed_to_everybody_but_the_practice(client):
    assert closed_to_others(client, "clinic:dates", case_of(ClinicianFactory()).number)


def test_the_laboratory_works_back_from_the_days_of_the_appointments(client):
    case = case_of(as_clinician(client))
    days = {"jaw_relation": JAW, "try_in": "2030-05-21", "insertion": "2030-06-04"}
    assert post(client, "clinic:dates", case.number, **typed(case, **days)).status_code == 302
    assert due(case, "jaw_relation") == JAW
    assert due(case, "occlusion_rims") == JAW - datetime.timedelta(days=1)


def test_an_emptied_box_takes_a_day_away(client):
    case = case_of(as_clinician(client))
    post(client, "clinic:dates", case.number, **typed(case, insertion=""))
    assert due(case, "insertion") is None


def test_days_out_of_order_come_back_with_what_was_typed(client):
    case = case_of(as_clinician(client))
    response = post(client, "clinic:dates", case.number, **typed(case, jaw_relation=JAW))
    assert response.status_code == 422
    assert "This is before the jaw relation record." in text(response)
    assert 'value="2030-05-07"' in text(response)
    assert due(case, "jaw_relation") != JAW


def test_a_day_that_has_passed_is_refused(client):
    case = case_of(as_clinician(client))
    passed = timezone.localdate() - datetime.timedelta(days=1)
    response = post(client, "clinic:dates", case.number, **typed(case, definitive_impressions=passed))
    assert response.status_code == 422
    assert "This day has passed." in text(response)


def test_nothing_changed_leaves_no_event(client):
    case = case_of(as_clinician(client))
    post(client, "clinic:dates", case.number, **typed(case))
    assert not case.events.filter(act=Act.DATED).exists()


def test_an_old_page_is_a_conflict(client):
    case = case_of(as_clinician(client))
    old = typed(case, insertion="2030-06-05")
    post(client, "clinic:dates", case.number, **typed(case, insertion="2030-06-04"))
    assert post(client, "clinic:dates", case.number, **old).status_code == 409
    assert due(case, "insertion") == datetime.date(2030, 6, 4)


def test_a_case_without_an_appointment_ahead_says_so(client):
    person = as_clinician(client)
    case = case_of(person)
    Case.objects.filter(pk=case.pk).update(state=CaseState.COMPLETE, completed_at=timezone.now())
    case.stages.update(state="skipped")
    assert "No appointment is ahead" in text(get(client, "clinic:dates", case.number))
