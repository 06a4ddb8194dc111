import datetime

import pytest
from django.utils import timezone

from labcases.cases.actions.moves import finish_stage
from labcases.cases.choices import CaseState, StageKind
from labcases.cases.queries import stages_to_return_to
from tests.clinic.chair import as_clinician, case_of, closed_to_others, get, post, text, visit_of
from tests.factories.people import ClinicianFactory

pytestmark = pytest.mark.django_db


def completed_for(person):
    """A case whose denture was inserted, and its insertion."""
    case, stage = visit_of(person, StageKind.INSERTION, starts_at=StageKind.PROCESSING)
    finish_stage(
        stage=stage, by=person, expected_version=stage.version, now=timezone.now(), outcome="Inserted."
    )
    case.refresh_from_db()
    stage.refresh_from_db()
    return case, stage


def typed(case, stage, **changes):
    to = stages_to_return_to(case)[0]
    return {"to": to.pk, "cause": "fracture", "note": "Flange", "version": stage.version} | changes


def test_it_is_closed_to_everybody_but_the_practice(client):
    case, _ = completed_for(ClinicianFactory())
    assert closed_to_others(client, "clinic:send_back", case.number)


def test_a_complaint_opens_the_case_again_with_its_cause_and_day(client):
    person = as_clinician(client)
    case, stage = completed_for(person)
    day = timezone.localdate() + datetime.timedelta(days=9)
    response = post(client, "clinic:send_back", case.number, **typed(case, stage, wanted_back=day))
    case.refresh_from_db()
    stage.refresh_from_db()
    assert response.status_code == 302
    assert (case.state, case.current_stage.kind) == (CaseState.OPEN, StageKind.PROCESSING)
    assert case.returns.get().cause == "fracture"
    assert case.stages.get(kind="insertion", visit=2).due_on == day
    assert stage.outcome == "Inserted."


def test_without_a_cause_nothing_happens_and_the_note_stays(client):
    case, stage = completed_for(as_clinician(client))
    response = post(client, "clinic:send_back", case.number, **typed(case, stage, cause="", note="Here"))
    case.refresh_from_db()
    assert response.status_code == 422
    assert "Here" in text(response)
    assert case.state == CaseState.COMPLETE


def test_sent_twice_by_one_tap_it_is_one_return(client):
    case, stage = completed_for(as_clinician(client))
    data = typed(case, stage)
    answers = [post(client, "clinic:send_back", case.number, key="tap", **data).status_code for _ in "ab"]
    assert answers == [302, 302]
    assert case.returns.count() == 1


def test_a_colleagues_complaint_in_between_is_a_conflict(client):
    case, stage = completed_for(as_clinician(client))
    data = typed(case, stage)
    post(client, "clinic:send_back", case.number, **data)
    assert post(client, "clinic:send_back", case.number, **data).status_code == 409
    assert case.returns.count() == 1


def test_an_open_case_leads_to_its_record_instead(client):
    case = case_of(as_clinician(client))
    response = get(client, "clinic:send_back", case.number)
    assert response.url.endswith("/record")
