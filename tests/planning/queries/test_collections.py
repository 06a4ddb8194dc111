import datetime

import pytest

from labcases.planning.queries.collections import collection_list
from tests.factories.people import PracticeFactory
from tests.factories.planning import CollectionDayFactory, TransportFactory
from tests.planning.laboratory import NOW, at, case_here, skilled, tray_done

pytestmark = pytest.mark.django_db
MONDAY = datetime.date(2026, 3, 2)


def test_what_stands_ready_and_what_will_be_ready_is_listed_by_practice():
    skilled("casts_and_trays")
    coming = case_here()
    waiting = tray_done(case_here())
    found = {one.practice: one for one in collection_list(MONDAY, now=NOW)}
    assert set(found) == {coming.practice, waiting.practice}
    assert found[waiting.practice].ready == [waiting]
    assert found[waiting.practice].cut_off == at(2, 16, 30)
    (expected,) = found[coming.practice].expected
    assert expected.leg.case.number == coming.number
    assert expected.ready <= found[coming.practice].cut_off


def test_work_that_misses_the_cut_off_is_on_the_next_list():
    skilled("casts_and_trays")
    case = case_here()
    row = TransportFactory(practice=case.practice)
    CollectionDayFactory(transport=row, weekday=0, cut_off=datetime.time(10))
    CollectionDayFactory(transport=row, weekday=2, cut_off=datetime.time(15))
    assert collection_list(MONDAY, now=NOW) == []
    (wednesday,) = collection_list(datetime.date(2026, 3, 4), now=NOW)
    assert (wednesday.cut_off, len(wednesday.expected)) == (at(4, 15), 1)


def test_ready_work_of_a_practice_without_a_collection_today_names_the_next():
    practice = PracticeFactory()
    case = tray_done(case_here(practice=practice))
    CollectionDayFactory(transport=TransportFactory(practice=practice), weekday=4, cut_off=datetime.time(11))
    (found,) = collection_list(MONDAY, now=NOW)
    assert (found.practice, found.ready, found.cut_off) == (practice, [case], None)
    assert found.next_cut_off == at(6, 11)


def test_nothing_to_go_out_is_an_empty_list():
    assert collection_list(MONDAY, now=NOW) == []
