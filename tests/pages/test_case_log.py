"""A long log: the last of it on the case's own page, all of it a page at a time."""

import datetime

import pytest
from django.urls import reverse

from labcases.cases.actions.guards import log
from labcases.cases.choices import Act
from labcases.cases.models import Case
from labcases.cases.queries import events_of, events_told_to_the_practice
from labcases.cases.rules import is_told_to_the_practice
from labcases.pages import happenings
from tests.factories.cases import NOW, CaseFactory, taken_in_case
from tests.factories.people import ManagerFactory

pytestmark = pytest.mark.django_db
EVENTS = {"office": events_of, "clinic": events_told_to_the_practice}


@pytest.fixture
def long(monkeypatch):
    """Nine entries and those of taking it in where five are shown at once, by clocks that do not agree."""
    monkeypatch.setattr(happenings, "LONGEST", 5)
    case = taken_in_case(now=NOW)
    for number in range(9):
        at = NOW + datetime.timedelta(seconds=(number * 7) % 5)
        log(case, Act.DATED, by=case.opened_by, now=at, after={f"day {number}": "2026-03-09"})
    return Case.objects.get(pk=case.pk)


def positions(answer, *names):
    return [line.event.position for name in names or ["log"] for line in answer.context[name]]


def see(client, who, case):
    """How to ask for a page of the case, and the positions of all that stands in the log for this audience."""
    client.force_login(ManagerFactory() if who == "office" else case.prescriber)
    entries = list(EVENTS[who](case).values_list("position", flat=True))
    assert entries == sorted(entries, reverse=True)
    return lambda name, **query: client.get(reverse(f"{who}:{name}", args=[case.number]), query), entries


@pytest.mark.parametrize("who", ["office", "clinic"])
def test_every_entry_stands_on_one_page_in_the_order_of_the_log(client, long, who):
    ask, entries = see(client, who, long)
    pages = [ask("case_log")]
    while mark := pages[-1].context["page"].older:
        pages.append(ask("case_log", older=mark))
    assert [positions(each) for each in pages] == [entries[:5], entries[5:10], entries[10:]]
    assert positions(ask("case_log", newer=pages[1].context["page"].newer)) == entries[:5]


@pytest.mark.parametrize("who", ["office", "clinic"])
def test_the_case_shows_the_last_entries_and_leads_to_all(client, long, who):
    ask, entries = see(client, who, long)
    answer = ask("case")
    assert positions(answer, "log", "earlier") == entries[:5]
    assert reverse(f"{who}:case_log", args=[long.number]) in answer.text


def test_a_short_log_is_all_on_the_case_s_page(client, long, monkeypatch):
    monkeypatch.setattr(happenings, "LONGEST", long.log_length)
    ask, entries = see(client, "office", long)
    answer = ask("case")
    assert positions(answer, "log", "earlier") == entries
    assert reverse("office:case_log", args=[long.number]) not in answer.text


def test_the_database_tells_a_practice_just_what_the_rule_does():
    case, person = CaseFactory(), ManagerFactory()
    for act in Act:
        log(case, act, by=person, now=NOW)
        log(case, Act.UNDONE, by=person, now=NOW, before={"act": str(act)})
    told = [event.pk for event in events_of(case) if is_told_to_the_practice(event)]
    assert [event.pk for event in events_told_to_the_practice(case)] == told
    assert 0 < len(told) < events_of(case).count()
