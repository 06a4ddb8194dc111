import datetime

import pytest
import vobject
from django.utils import translation

from labcases.cases.choices import StageKind
from labcases.planning.actions.feeds import make_feed, revoke_feed
from labcases.planning.actions.giving import give
from labcases.planning.models import PlannedWork
from labcases.planning.queries import feeds
from labcases.planning.queries.feeds import feed_by_token, feed_of, feed_text
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.planning.laboratory import NOW, at, case_here, stage

pytestmark = pytest.mark.django_db


def events(feed):
    text = feed_text(feed, now=NOW).decode()
    return text, list(getattr(vobject.readOne(text), "vevent_list", []))


def given(case, to, **times):
    made = stage(case, StageKind.CUSTOM_TRAY)
    give(stages=[(made, made.version)], to=to, by=ManagerFactory(), now=NOW)
    PlannedWork.objects.filter(stage=made).update(**times)
    return made


def test_a_technician_s_feed_has_planned_hours_and_days():
    person = TechnicianFactory()
    timed = given(case_here(), person, starts_at=at(3, 8), ends_at=at(3, 10))
    whole_day = given(case_here(), person)
    given(case_here(), TechnicianFactory())
    _, found = events(make_feed(of=person, by=person, now=NOW))
    by_summary = {event.summary.value: event for event in found}
    assert set(by_summary) == {f"{made.case.number} Custom tray" for made in (timed, whole_day)}
    planned = by_summary[f"{timed.case.number} Custom tray"]
    assert (planned.dtstart.value, planned.dtend.value) == (at(3, 8), at(3, 10))
    assert by_summary[f"{whole_day.case.number} Custom tray"].dtstart.value == datetime.date(2026, 3, 6)


def test_a_practice_s_feed_has_its_own_cases_days_only():
    clinician = ClinicianFactory()
    case, foreign = case_here(prescriber=clinician), case_here()
    text, found = events(make_feed(of=clinician.practice, by=clinician, now=NOW))
    assert [event.summary.value for event in found] == [
        f"{case.number} Definitive impressions",
        f"{case.number} Jaw relation record",
        f"{case.number} Try-in",
        f"{case.number} Insertion",
    ]
    assert foreign.number not in text


def test_a_feed_is_in_its_person_s_language_and_a_practice_s_in_the_laboratory_s(monkeypatch):
    said = []
    for name in ("bench_entries", "practice_entries"):
        monkeypatch.setattr(feeds, name, lambda owner: said.append(translation.get_language()) or [])
    person, clinician = TechnicianFactory(language="de"), ClinicianFactory(language="de")
    made = [make_feed(of=person, by=person, now=NOW)]
    made.append(make_feed(of=clinician.practice, by=clinician, now=NOW))
    with translation.override("fr"):
        for feed in made:
            feed_text(feed, now=NOW)
    assert said == ["de", "en-gb"]


def test_a_feed_carries_codes_and_no_name():
    clinician = ClinicianFactory(display_name="Dr Unmistakable Name")
    person = TechnicianFactory(display_name="Also A Name")
    case = case_here(prescriber=clinician, patient_code="SECRET-7")
    given(case, person)
    for owner in (clinician.practice, person):
        text, found = events(make_feed(of=owner, by=ManagerFactory(), now=NOW))
        assert found
        for secret in ("Unmistakable", "Also A Name", "SECRET-7", clinician.practice.name):
            assert secret not in text


def test_an_address_works_until_it_is_revoked_or_replaced():
    person = TechnicianFactory()
    first = make_feed(of=person, by=person, now=NOW)
    assert feed_by_token(first.token) == first
    assert feed_of(person) == first
    second = make_feed(of=person, by=person, now=NOW)
    assert feed_by_token(first.token) is None
    assert feed_by_token(second.token) == second
    revoke_feed(of=person, by=person, now=NOW)
    assert feed_by_token(second.token) is None
    assert feed_of(person) is None
    assert feed_by_token("") is None


def test_the_feed_of_somebody_who_left_is_closed():
    person = TechnicianFactory()
    feed = make_feed(of=person, by=person, now=NOW)
    type(person).objects.filter(pk=person.pk).update(is_active=False)
    assert feed_by_token(feed.token) is None
