"""A practice's completed cases: all of them, a page at a time, and found by a code."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from labcases.cases.choices import CaseState, Location
from labcases.clinic.views import cases as views
from tests.clinic.chair import as_clinician, get, text
from tests.factories.cases import NOW, CaseFactory
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


def completed(person, days_ago, **changes):
    return CaseFactory(
        practice=person.practice,
        prescriber=person,
        state=CaseState.COMPLETE,
        location=Location.CLINIC,
        completed_at=NOW - days_ago * DAY,
        **changes,
    )


def listed(response):
    return [case.number for case in response.context["page"]]


def ask(client, **query):
    return client.get(reverse("clinic:completed"), query)


def test_only_clinicians_see_it_and_only_their_practice_s(client):
    foreign = completed(ClinicianFactory(), 1)
    for person, status in ((TechnicianFactory(), 403), (ManagerFactory(), 403)):
        client.force_login(person)
        assert get(client, "clinic:completed").status_code == status
    person = as_clinician(client)
    own = completed(person, 2)
    answer = get(client, "clinic:completed")
    assert listed(answer) == [own.number]
    assert foreign.number not in text(answer)


def test_the_latest_completed_come_first_a_page_at_a_time(client, monkeypatch):
    """Opened in another order than completed; open and cancelled cases are none of them."""
    monkeypatch.setattr(views, "PAGE_SIZE", 2)
    person = as_clinician(client)
    made = [completed(person, days, opened_at=NOW - 100 * DAY + days * DAY) for days in range(5)]
    for state in (CaseState.OPEN, CaseState.CANCELLED):
        CaseFactory(practice=person.practice, state=state)
    numbers = [case.number for case in made]
    pages = [ask(client)]
    while mark := pages[-1].context["page"].older:
        pages.append(ask(client, older=mark))
    assert [listed(each) for each in pages] == [numbers[:2], numbers[2:4], numbers[4:]]
    assert listed(ask(client, newer=pages[2].context["page"].newer)) == numbers[2:4]
    assert "older=" in text(pages[0])


def test_a_text_finds_by_code_and_number_and_says_when_nothing_fits(client):
    person = as_clinician(client)
    wanted, other = completed(person, 1, patient_code="KEEL-4"), completed(person, 2, patient_code="OAR-1")
    assert listed(ask(client, q="keel")) == [wanted.number]
    assert listed(ask(client, q=other.number)) == [other.number]
    answer = ask(client, q="no such code")
    assert "No completed case fits" in text(answer)
    assert 'value="no such code"' in text(answer)


def test_my_cases_lists_the_last_and_leads_to_all(client):
    person = as_clinician(client)
    assert reverse("clinic:completed") not in text(get(client, "clinic:cases"))
    made = [completed(person, days) for days in range(views.LATELY_COMPLETED + 1)]
    answer = get(client, "clinic:cases")
    assert [case.number for case in answer.context["completed"]] == [case.number for case in made[:-1]]
    assert reverse("clinic:completed") in text(answer)
    assert made[-1].number not in text(answer)


def test_no_case_completed_yet_is_said(client):
    as_clinician(client)
    assert "No case is completed yet" in text(get(client, "clinic:completed"))


def test_the_list_takes_as_many_queries_for_three_cases_as_for_one(client):
    person = as_clinician(client)
    completed(person, 1)
    with CaptureQueriesContext(connection) as one:
        get(client, "clinic:completed")
    for _ in range(2):
        completed(person, 1)
    with CaptureQueriesContext(connection) as three:
        get(client, "clinic:completed")
    assert len(one) == len(three) <= 12
