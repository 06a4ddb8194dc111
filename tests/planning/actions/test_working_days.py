import datetime

import pytest

from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.planning.actions import working_days as actions
from labcases.planning.models import Absence, ClosedDay
from labcases.planning.queries.calendars import (
    calendar_settings,
    laboratory_calendar,
    laboratory_week,
    own_week,
    transport_of,
    transport_settings,
)
from labcases.planning.working_time import USUAL_WEEK, Opening, Transport, Week
from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory, TechnicianFactory
from tests.planning.laboratory import NOW

pytestmark = pytest.mark.django_db
NIGHT = Week.of(range(4), Opening(480, 720), Opening(1200, 1440))
MONDAY = datetime.date(2026, 3, 2)


@pytest.fixture
def manager():
    return ManagerFactory()


def test_the_week_comes_back_as_it_was_set(manager):
    actions.set_laboratory_week(week=NIGHT, by=manager, expected_version=0)
    assert laboratory_week() == NIGHT
    assert calendar_settings().version == 1
    actions.set_laboratory_week(week=USUAL_WEEK, by=manager, expected_version=1)
    assert laboratory_week() == USUAL_WEEK


def test_two_managers_cannot_change_the_calendar_over_each_other(manager):
    actions.set_laboratory_week(week=NIGHT, by=manager, expected_version=0)
    with pytest.raises(Conflict):
        actions.set_laboratory_week(week=USUAL_WEEK, by=manager, expected_version=0)
    with pytest.raises(Conflict):
        actions.close_days(first=MONDAY, last=MONDAY, reason="x", by=manager, expected_version=0)
    assert laboratory_week() == NIGHT


def test_a_laboratory_that_never_opens_is_refused(manager):
    with pytest.raises(Refused, match="at least one day"):
        actions.set_laboratory_week(week=Week(((),) * 7), by=manager, expected_version=0)


def test_a_person_has_own_hours_until_they_are_taken_away(manager):
    person = TechnicianFactory()
    actions.set_person_hours(person=person, week=NIGHT, by=manager, expected_version=0)
    assert own_week(person) == NIGHT
    assert laboratory_week() == USUAL_WEEK
    actions.set_person_hours(person=person, week=None, by=manager, expected_version=1)
    assert own_week(person) is None
    with pytest.raises(Refused, match="does not work in the laboratory"):
        actions.set_person_hours(person=ClinicianFactory(), week=NIGHT, by=manager, expected_version=2)


def test_days_closed_are_no_working_days_and_keep_their_first_reason(manager):
    friday = MONDAY + datetime.timedelta(days=4)
    assert actions.close_days(first=MONDAY, last=MONDAY, reason="Move", by=manager, expected_version=0) == 1
    assert actions.close_days(first=MONDAY, last=friday, reason="Fair", by=manager, expected_version=1) == 4
    assert laboratory_calendar().closed[MONDAY] == "Move"
    assert laboratory_calendar().working_day(MONDAY) == datetime.date(2026, 3, 9)


@pytest.mark.parametrize(
    ("first", "days", "reason"), [(MONDAY, -1, "x"), (MONDAY, 90, "x"), (MONDAY, 0, "  ")]
)
def test_an_odd_closure_is_refused(manager, first, days, reason):
    with pytest.raises(Refused):
        actions.close_days(
            first=first,
            last=first + datetime.timedelta(days=days),
            reason=reason,
            by=manager,
            expected_version=0,
        )
    assert not ClosedDay.objects.exists()


def test_public_holidays_are_stored_and_those_worked_stay_worked(manager):
    """Northern Ireland has 17 March; adopting again neither doubles nor closes it anew."""

    def adopt(version):
        return actions.adopt_public_holidays(
            country="GB", region="NIR", years=[2026], by=manager, now=NOW, expected_version=version
        )

    added = adopt(0)
    patrick = ClosedDay.objects.get(day=datetime.date(2026, 3, 17))
    assert not ClosedDay.objects.filter(day__lt=NOW.date()).exists()
    actions.open_day(closed=patrick, by=manager, expected_version=1)
    assert laboratory_calendar().is_working_day(patrick.day)
    assert adopt(2) == 0
    assert ClosedDay.objects.count() == added
    assert laboratory_calendar().is_working_day(patrick.day)
    actions.close_day_again(closed=patrick, by=manager, expected_version=3)
    assert not laboratory_calendar().is_working_day(patrick.day)
    assert str(calendar_settings()) == "GB NIR"


def test_an_unknown_country_is_refused_in_words(manager):
    with pytest.raises(Refused, match="two-letter code"):
        actions.adopt_public_holidays(
            country="??", region="", years=[2026], by=manager, now=NOW, expected_version=0
        )


def test_an_own_closed_day_opened_again_is_gone(manager):
    actions.close_days(first=MONDAY, last=MONDAY, reason="Move", by=manager, expected_version=0)
    actions.open_day(closed=ClosedDay.objects.get(), by=manager, expected_version=1)
    assert not ClosedDay.objects.exists()


def test_people_note_their_own_absences_and_managers_everybody_s(manager):
    person, other = TechnicianFactory.create_batch(2)
    absence = actions.add_absence(person=person, first_day=MONDAY, last_day=MONDAY, by=person)
    actions.add_absence(person=other, first_day=MONDAY, last_day=MONDAY, by=manager)
    with pytest.raises(NotAllowed):
        actions.add_absence(person=other, first_day=MONDAY, last_day=MONDAY, by=person)
    with pytest.raises(NotAllowed):
        actions.remove_absence(absence=absence, by=other)
    actions.remove_absence(absence=absence, by=person)
    with pytest.raises(Conflict):
        actions.remove_absence(absence=absence, by=person)
    assert Absence.objects.count() == 1


@pytest.mark.parametrize(
    ("last", "hours"),
    [
        (MONDAY - datetime.timedelta(days=1), (None, None)),
        (MONDAY, (datetime.time(9), None)),
        (MONDAY, (datetime.time(10), datetime.time(9))),
    ],
)
def test_an_absence_that_ends_before_it_begins_is_refused(manager, last, hours):
    with pytest.raises(Refused):
        actions.add_absence(
            person=TechnicianFactory(),
            first_day=MONDAY,
            last_day=last,
            by=manager,
            from_time=hours[0],
            until_time=hours[1],
        )


def test_a_practice_s_collections_are_replaced_and_guarded(manager):
    practice = PracticeFactory()

    def set_it(cut_offs, transit, version):
        actions.set_transport(
            practice=practice, cut_offs=cut_offs, transit_days=transit, by=manager, expected_version=version
        )

    set_it({1: datetime.time(15), 3: datetime.time(9, 30)}, 1, 0)
    set_it({4: datetime.time(11)}, 0, transport_settings(practice).version)
    assert transport_of(practice) == Transport({4: 660}, 0)
    with pytest.raises(Conflict):
        set_it({}, 0, 1)
    with pytest.raises(Refused, match="0 to 10"):
        set_it({}, 11, 2)
    with pytest.raises(Refused, match="day of the week"):
        set_it({7: datetime.time(9)}, 0, 2)


@pytest.mark.parametrize("role", ["technician", "clinician"])
def test_only_managers_change_the_laboratory_s_days(role):
    person = TechnicianFactory() if role == "technician" else ClinicianFactory()
    attempts = [
        lambda: actions.set_laboratory_week(week=NIGHT, by=person, expected_version=0),
        lambda: actions.set_person_hours(person=person, week=NIGHT, by=person, expected_version=0),
        lambda: actions.close_days(first=MONDAY, last=MONDAY, reason="x", by=person, expected_version=0),
        lambda: actions.adopt_public_holidays(
            country="GB", region="", years=[2026], by=person, now=NOW, expected_version=0
        ),
        lambda: actions.set_transport(
            practice=PracticeFactory(), cut_offs={}, transit_days=0, by=person, expected_version=0
        ),
    ]
    for attempt in attempts:
        with pytest.raises(NotAllowed):
            attempt()
