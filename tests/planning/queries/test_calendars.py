import datetime

import pytest

from labcases.planning.queries import calendars
from labcases.planning.working_time import USUAL_WEEK, Transport
from tests.factories.people import PracticeFactory, TechnicianFactory
from tests.factories.planning import (
    AbsenceFactory,
    ClosedDayFactory,
    CollectionDayFactory,
    OpeningHoursFactory,
    TransportFactory,
)

pytestmark = pytest.mark.django_db
MONDAY = datetime.date(2026, 3, 2)


def test_without_rows_the_usual_week_holds():
    assert calendars.laboratory_calendar().week == USUAL_WEEK
    assert calendars.laboratory_week() == USUAL_WEEK


def test_the_laboratory_s_own_week_and_closed_days_hold():
    OpeningHoursFactory(weekday=0)
    OpeningHoursFactory(weekday=1)
    ClosedDayFactory(day=MONDAY)
    ClosedDayFactory(day=datetime.date(2026, 3, 9), worked=True)
    calendar = calendars.laboratory_calendar()
    assert calendar.next_days(MONDAY, 3) == tuple(datetime.date(2026, 3, day) for day in (3, 9, 10))


def test_a_person_s_hours_are_their_own_and_not_the_laboratory_s():
    part_time, other = TechnicianFactory.create_batch(2)
    OpeningHoursFactory(person=part_time, weekday=2)
    assert calendars.own_week(part_time).mask == (False, False, True, False, False, False, False)
    assert calendars.own_week(other) is None
    assert calendars.laboratory_week() == USUAL_WEEK


def test_an_absence_that_is_over_is_not_read_again():
    person = TechnicianFactory()
    for first in (MONDAY - datetime.timedelta(days=7), MONDAY - datetime.timedelta(days=1)):
        AbsenceFactory(person=person, first_day=first, last_day=first + datetime.timedelta(days=1))
    (absence,) = calendars.absences_from(MONDAY)[person.pk]
    assert (absence.first, absence.last) == (MONDAY - datetime.timedelta(days=1), MONDAY)


def test_a_practice_s_collections_are_read_with_its_way():
    practice = PracticeFactory()
    assert calendars.transport_of(practice) == Transport()
    assert calendars.transport_settings(practice).version == 0
    row = TransportFactory(practice=practice, transit_days=1)
    CollectionDayFactory(transport=row, weekday=1, cut_off=datetime.time(15))
    CollectionDayFactory(transport=row, weekday=4, cut_off=datetime.time(11, 30))
    expected = Transport({1: 900, 4: 690}, 1)
    assert calendars.transport_of(practice) == expected
    assert calendars.transports() == {practice.pk: expected}
    assert calendars.transport_settings(practice) == row


def test_lists_show_what_is_not_over_yet():
    gone = ClosedDayFactory(day=MONDAY - datetime.timedelta(days=1))
    still = ClosedDayFactory(day=MONDAY)
    over = AbsenceFactory(first_day=datetime.date(2026, 2, 2), last_day=datetime.date(2026, 2, 3))
    running = AbsenceFactory(first_day=datetime.date(2026, 2, 27), last_day=MONDAY)
    assert list(calendars.closed_days(MONDAY)) == [still]
    assert gone not in calendars.closed_days(MONDAY)
    assert list(calendars.absences(MONDAY)) == [running]
    assert over not in calendars.absences(MONDAY)
