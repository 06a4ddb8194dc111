import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import CaseState, Location, StageKind, StageState
from labcases.cases.models import Case, Stage
from tests.clinic.chair import as_clinician, case_of, get, post, text, visit_of
from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


def groups(response):
    """Titles of the groups, each with the numbers of its cases, as the page lists them."""
    return {title: [row.case.number for row in rows] for _, title, rows in response.context["groups"]}


def test_only_clinicians_see_it(client):
    for person, status in ((TechnicianFactory(), 403), (ManagerFactory(), 403), (ClinicianFactory(), 200)):
        client.force_login(person)
        assert get(client, "clinic:cases").status_code == status
    client.logout()
    assert "/sign-in" in get(client, "clinic:cases")["Location"]


def test_each_case_stands_in_the_group_of_where_it_is(client):
    person = as_clinician(client)
    going = case_of(person)
    laboratory, _ = visit_of(person, StageKind.CUSTOM_TRAY, Location.LABORATORY)
    coming, _ = visit_of(person, StageKind.DEFINITIVE_IMPRESSIONS, Location.TO_CLINIC)
    waiting, _ = visit_of(person, StageKind.DEFINITIVE_IMPRESSIONS)
    assert groups(get(client, "clinic:cases")) == {
        "Waiting for you": [waiting.number],
        "On its way to you": [coming.number],
        "At the laboratory": [laboratory.number],
        "On its way to the laboratory": [going.number],
    }


def test_an_incomplete_prescription_waits_first_and_says_what_is_missing(client):
    person = as_clinician(client)
    due_first, _ = visit_of(person, StageKind.DEFINITIVE_IMPRESSIONS)
    incomplete = case_of(person, base_material="", wanted_in_days=60)
    response = get(client, "clinic:cases")
    assert groups(response)["Waiting for you"] == [incomplete.number, due_first.number]
    assert "Missing: the denture base material." in text(response)
    assert "2 cases wait for you." in text(response)


def test_a_prescription_that_lacks_only_its_signature_is_signed_from_the_list(client):
    person = as_clinician(client)
    case = case_of(person, sign=False)
    assert reverse("clinic:sign", args=[case.number]) in text(get(client, "clinic:cases"))
    post(client, "clinic:sign", case.number, version=case.version)
    case.refresh_from_db()
    assert case.state == CaseState.OPEN
    assert groups(get(client, "clinic:cases")) == {"On its way to the laboratory": [case.number]}


def test_a_row_says_when_the_work_is_back_and_for_what(client):
    person = as_clinician(client)
    case = case_of(person)
    day = case.stages.get(kind="definitive_impressions").due_on
    body = text(get(client, "clinic:cases"))
    assert f'datetime="{day.isoformat()}"' in body
    assert "for definitive impressions" in body


def test_late_work_says_that_the_laboratory_is_behind(client):
    person = as_clinician(client)
    case = case_of(person)
    assert "The laboratory is behind" not in text(get(client, "clinic:cases"))
    yesterday = timezone.localdate() - datetime.timedelta(days=1)
    Stage.objects.filter(pk=case.current_stage_id).update(due_on=yesterday)
    assert "The laboratory is behind" in text(get(client, "clinic:cases"))


def test_held_work_says_so(client):
    person = as_clinician(client)
    _, stage = visit_of(person, StageKind.CUSTOM_TRAY, Location.LABORATORY)
    Stage.objects.filter(pk=stage.pk).update(state=StageState.ON_HOLD, hold_reason="Waits for wax")
    assert "Custom tray, on hold" in text(get(client, "clinic:cases"))


def test_a_case_of_another_practice_is_never_listed(client):
    other = case_of(ClinicianFactory(), patient_code="FOREIGN-7")
    mine = case_of(as_clinician(client), patient_code="OWN-1")
    body = text(get(client, "clinic:cases"))
    assert mine.number in body
    assert "OWN-1" in body
    assert other.number not in body
    assert "FOREIGN-7" not in body


def test_colleagues_of_one_practice_see_the_same_cases(client):
    practice = PracticeFactory()
    case = case_of(ClinicianFactory(practice=practice))
    as_clinician(client, practice)
    assert case.number in text(get(client, "clinic:cases"))


def test_without_a_case_the_page_says_how_to_begin_one(client):
    as_clinician(client)
    body = text(get(client, "clinic:cases"))
    assert "No case of yours is open" in body
    assert reverse("clinic:new_case") in body


def test_completed_cases_are_folded_below_and_cancelled_ones_gone(client):
    person = as_clinician(client)
    completed, cancelled = case_of(person), case_of(person)
    Case.objects.filter(pk=completed.pk).update(state=CaseState.COMPLETE, completed_at=timezone.now())
    Case.objects.filter(pk=cancelled.pk).update(state=CaseState.CANCELLED)
    response = get(client, "clinic:cases")
    assert groups(response) == {}
    assert "Lately completed" in text(response)
    assert completed.number in text(response)
    assert cancelled.number not in text(response)


def test_the_number_of_queries_does_not_grow_with_the_cases(client, django_assert_max_num_queries):
    person = as_clinician(client)
    case_of(person, sign=False)
    visit_of(person, StageKind.DEFINITIVE_IMPRESSIONS)
    get(client, "clinic:cases")
    with django_assert_max_num_queries(12) as one:
        get(client, "clinic:cases")
    for _ in range(2):
        case_of(person, sign=False)
        visit_of(person, StageKind.DEFINITIVE_IMPRESSIONS)
    with django_assert_max_num_queries(12) as three:
        get(client, "clinic:cases")
    assert len(one) == len(three)
