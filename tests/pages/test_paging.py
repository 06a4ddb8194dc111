"""Pages without a count: every row once, in order, forwards and back, whatever the mark."""

import datetime

import pytest
from django.test import RequestFactory

from labcases.cases.models import Case
from labcases.pages.paging import stretch
from tests.factories.cases import NOW, CaseFactory, EventFactory
from tests.factories.people import ManagerFactory, PracticeFactory

pytestmark = pytest.mark.django_db
SIZE = 3


@pytest.fixture
def rows():
    """Eight cases, the newest first; three of them of the same moment."""
    practice, manager = PracticeFactory(), ManagerFactory()
    hours = [0, 1, 1, 1, 2, 3, 4, 5]
    made = [
        CaseFactory(opened_at=NOW + datetime.timedelta(hours=hour), practice=practice, opened_by=manager)
        for hour in hours
    ]
    return made[::-1]


def page(**query):
    return stretch(RequestFactory().get("/", query), Case.objects.all(), by="opened_at", size=SIZE)


def test_every_row_is_on_one_page_forwards_and_back(rows):
    pages = [page()]
    while pages[-1].older:
        pages.append(page(older=pages[-1].older))
    assert [list(each) for each in pages] == [rows[:3], rows[3:6], rows[6:]]
    back = [pages[-1]]
    while back[-1].newer:
        back.append(page(newer=back[-1].newer))
    assert [list(each) for each in back] == [rows[6:], rows[3:6], rows[:3]]


def test_the_oldest_come_first_where_that_is_asked(rows):
    rows = rows[::-1]

    def upwards(**query):
        asked = RequestFactory().get("/", query)
        return stretch(asked, Case.objects.all(), by="opened_at", size=SIZE, oldest_first=True)

    pages = [upwards()]
    while pages[-1].newer:
        pages.append(upwards(newer=pages[-1].newer))
    assert [list(each) for each in pages] == [rows[:3], rows[3:6], rows[6:]]
    assert not pages[0].older
    back = upwards(older=pages[-1].older)
    assert (list(back), bool(back.older)) == (rows[3:6], True)


@pytest.mark.parametrize("mark", ["x", "20260302T090000.000000~1", "1~1", "~", "-1", "9" * 19])
def test_numbers_have_marks_of_their_own(mark):
    case = CaseFactory()
    made = [EventFactory(case=case) for _ in range(5)][::-1]

    def numbered(**query):
        return stretch(RequestFactory().get("/", query), case.events.all(), by="position", size=SIZE)

    first = numbered(older=mark)
    assert list(first) == made[:3]
    assert list(numbered(older=first.older)) == made[3:]
    assert list(numbered(older="9" * 18)) == made[:3]
    assert list(numbered(newer="9" * 18)) == []


def test_the_first_page_has_no_newer_and_the_last_no_older(rows):
    first = page()
    assert not first.newer
    assert not first.is_all
    last = page(older=page(older=first.older).older)
    assert last.newer
    assert not last.older


def test_a_row_that_comes_meanwhile_moves_nothing(rows):
    first = page()
    CaseFactory(opened_at=NOW + datetime.timedelta(hours=9))
    assert list(page(older=first.older)) == rows[3:6]


def test_a_short_list_is_all_and_an_empty_one_too():
    assert page().is_all
    assert list(page()) == []
    case = CaseFactory()
    assert page().is_all
    assert list(page()) == [case]


@pytest.mark.parametrize(
    "mark",
    [
        "x",
        "~",
        "~5",
        "20260302T090000.000000~",
        "20260302T090000.000000~x",
        "99999999T090000.0~1",
        "\x00",
        "5" * 900,
    ],
)
def test_a_mark_that_is_none_leads_to_the_newest(rows, mark):
    assert list(page(older=mark)) == list(page(newer=mark)) == rows[:3]


def test_past_the_end_there_is_nothing(rows):
    last = page(older="20000101T000000.000000~1")
    assert list(last) == []
    assert not last.older
