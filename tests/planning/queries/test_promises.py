import datetime

import pytest

from labcases.cases.choices import StageKind
from labcases.planning.queries.promises import can_be_back, promises_for
from tests.factories.people import PracticeFactory
from tests.factories.planning import CollectionDayFactory, TransportFactory
from tests.planning.laboratory import NOW, case_here, skilled

pytestmark = pytest.mark.django_db


def day(number):
    return datetime.date(2026, 3, number)


@pytest.fixture
def bench():
    return skilled("casts_and_trays", "bases_and_rims", "arrangement", "processing", "relines_and_repairs")


def ask(practice=None, kind="complete", starts_at="custom_tray", arches="both", **dates):
    return can_be_back(
        practice=practice or PracticeFactory(),
        kind=kind,
        arches=arches,
        starts_at=starts_at,
        dates=dates,
        now=NOW,
    )


def test_an_idle_laboratory_keeps_the_days_that_are_asked(bench):
    """The tray comes tomorrow, Tuesday, and is back on Wednesday at the earliest."""
    answers = ask(definitive_impressions=day(4), jaw_relation=day(11))
    first, second, *_ = answers
    assert [answer.visit for answer in answers] == [
        "definitive_impressions",
        "jaw_relation",
        "try_in",
        "insertion",
    ]
    assert first.is_possible
    assert first.promise.first_day == day(4)
    assert first.words == "Yes: the first possible day is Wed 4 Mar."
    assert second.is_possible


def test_a_day_too_soon_is_answered_with_the_first_that_can_be(bench):
    (first, *_) = ask(definitive_impressions=day(3))
    assert not first.is_possible
    assert first.words == "Not by then: the first day that can be promised is Wed 4 Mar."


def test_a_visit_without_a_wanted_day_is_told_its_first(bench):
    first, second, *_ = ask()
    assert first.words == "The first day that can be promised is Wed 4 Mar."
    assert not first.is_possible
    assert second.promise.ready.date() >= day(5)


def test_a_visit_that_cannot_be_kept_pushes_out_those_after_it(bench):
    pushed = ask(definitive_impressions=day(4), jaw_relation=day(5))
    assert not pushed[1].is_possible
    assert pushed[1].promise.first_day > day(5)
    assert pushed[2].promise.ready.date() > pushed[1].promise.first_day


def test_present_load_moves_the_promise(bench):
    before = ask(starts_at=StageKind.TOOTH_ARRANGEMENT)[0].promise.first_day
    for _ in range(6):
        case_here(starts_at=StageKind.TOOTH_ARRANGEMENT)
    after = ask(starts_at=StageKind.TOOTH_ARRANGEMENT)[0].promise.first_day
    assert after > before


def test_a_practice_collected_once_a_week_waits_for_its_day(bench):
    practice = PracticeFactory()
    CollectionDayFactory(transport=TransportFactory(practice=practice), weekday=4, cut_off=datetime.time(11))
    (first, *_) = ask(practice=practice)
    assert first.promise.first_day == day(9)


def test_without_anybody_who_can_do_it_nothing_is_promised():
    skilled("processing")
    (first, *_) = ask(definitive_impressions=day(20))
    assert not first.is_possible
    assert first.words == "Nobody here does casts and trays."


def test_a_case_that_starts_at_the_clinic_is_promised_from_its_visit_on(bench):
    answers = ask(starts_at="definitive_impressions", definitive_impressions=day(10))
    assert answers[0].visit == "jaw_relation"
    assert answers[0].promise.ready.date() >= day(11)
    assert ask(starts_at="definitive_impressions") == []


def test_a_year_mistyped_is_not_looked_through(bench):
    answers = ask(definitive_impressions=datetime.date(2062, 3, 4))
    assert [answer.visit for answer in answers] == ["definitive_impressions"]
    assert answers[0].is_possible


def test_a_case_that_is_here_is_promised_as_if_it_came_last(bench):
    case = case_here()
    other = case_here()
    answers = promises_for(case, now=NOW)
    assert [answer.visit for answer in answers][:2] == ["definitive_impressions", "jaw_relation"]
    assert answers[0].wanted_on == day(9)
    assert answers[0].is_possible
    assert answers[0].promise.first_day == day(3)
    assert other.number
