import datetime

import pytest

from labcases.cases.actions.dates import set_dates
from labcases.cases.choices import Act, StageKind
from labcases.people.refusals import NotAllowed
from labcases.planning.actions.due_days import lay_all_due_days, lay_due_days
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.factories.planning import ClosedDayFactory, CollectionDayFactory, TransportFactory
from tests.planning.laboratory import NOW, case_here

pytestmark = pytest.mark.django_db
CHAIN = ("master_cast", "record_base", "occlusion_rims")


def day(number):
    return datetime.date(2026, 3, number)


def due(case):
    return dict(case.stages.values_list("kind", "due_on"))


def laid(case):
    lay_due_days(case=case, by=case.opened_by, now=NOW)
    return due(case)


def test_each_stage_is_due_laboratory_days_before_the_next():
    """The jaw relation is on Monday the 16th: rims on Friday, base on Thursday, cast on Wednesday."""
    found = laid(case_here())
    assert [found[kind] for kind in CHAIN] == [day(11), day(12), day(13)]
    assert found[StageKind.CUSTOM_TRAY] == day(6)
    assert found[StageKind.JAW_RELATION] == day(16)


def test_closed_days_and_collections_move_due_days():
    case = case_here()
    ClosedDayFactory(day=day(12))
    CollectionDayFactory(
        transport=TransportFactory(practice=case.practice), weekday=4, cut_off=datetime.time(11)
    )
    found = laid(case)
    assert [found[kind] for kind in CHAIN] == [day(10), day(11), day(13)]


def test_too_little_time_for_laboratory_days_leaves_the_last_days_that_suffice():
    """Two visits two days apart: cast, base and rims must be done on the one working day between."""
    case = case_here()
    dates = {"definitive_impressions": day(9), "jaw_relation": day(11)}
    set_dates(case=case, dates=dates, by=case.opened_by, now=NOW)
    found = laid(case)
    assert [found[kind] for kind in CHAIN] == [day(10)] * 3


def test_stages_whose_visit_has_no_day_have_none():
    case = case_here()
    set_dates(case=case, dates={"jaw_relation": None}, by=case.opened_by, now=NOW)
    found = laid(case)
    assert [found[kind] for kind in CHAIN] == [None] * 3


def test_a_later_change_of_the_calendar_moves_nothing_until_it_is_asked_for():
    case = case_here()
    before = laid(case)
    ClosedDayFactory(day=day(12))
    assert due(case) == before
    manager = ManagerFactory()
    assert lay_all_due_days(by=manager, now=NOW) == 1
    assert due(case)["master_cast"] == day(10)
    assert case.events.last().act == Act.DATED
    assert lay_all_due_days(by=manager, now=NOW) == 0


def test_laying_the_same_days_again_leaves_no_event():
    case = case_here()
    laid(case)
    events = case.events.count()
    laid(case)
    assert case.events.count() == events


def test_only_managers_lay_all_days_anew():
    with pytest.raises(NotAllowed):
        lay_all_due_days(by=TechnicianFactory(), now=NOW)
