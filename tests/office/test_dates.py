import datetime

import pytest
from django.urls import reverse

from labcases.cases.choices import Act
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
JAW, TRY = datetime.date(2030, 5, 7), datetime.date(2030, 5, 21)


def typed(case, **changes):
    case.refresh_from_db()
    days = {
        stage.kind: stage.due_on.isoformat()
        for stage in case.stages.filter(place="clinic", due_on__isnull=False)
    }
    return days | {"version": case.version} | changes


def due(case, kind):
    return case.stages.get(kind=kind).due_on


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:dates", case_now().number)


def test_the_benchs_days_follow_from_the_appointments(client):
    as_manager(client)
    case = case_now()
    later = {"jaw_relation": str(JAW), "try_in": str(TRY), "insertion": "2030-06-04"}
    post(client, "office:dates", case.number, **typed(case, **later))
    assert due(case, "jaw_relation") == JAW
    assert due(case, "occlusion_rims") == JAW - datetime.timedelta(days=1)
    by_hand, laid = case.events.filter(act=Act.DATED).order_by("pk")
    assert by_hand.after == later
    assert laid.before == {"by": "working days"}


def test_days_out_of_order_are_refused_with_what_was_typed(client):
    as_manager(client)
    case = case_now()
    before = due(case, "jaw_relation")
    response = post(client, "office:dates", case.number, **typed(case, jaw_relation=str(JAW)))
    assert response.status_code == 422
    assert "This is before the day of: Jaw relation record" in response.content.decode()
    assert 'value="2030-05-07"' in response.content.decode()
    assert due(case, "jaw_relation") == before


def test_nothing_changed_leaves_no_event(client):
    as_manager(client)
    case = case_now()
    post(client, "office:dates", case.number, **typed(case))
    assert not case.events.filter(act=Act.DATED).exists()


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    case = case_now()
    old = typed(case, insertion="2030-06-05")
    post(client, "office:dates", case.number, **typed(case, insertion="2030-06-04"))
    assert post(client, "office:dates", case.number, **old).status_code == 409
    assert due(case, "insertion") == datetime.date(2030, 6, 4)


def test_a_case_without_appointments_says_so(client):
    as_manager(client)
    case = case_now()
    case.stages.filter(place="clinic").delete()
    content = client.get(reverse("office:dates", args=[case.number])).content.decode()
    assert "No appointment is left" in content
