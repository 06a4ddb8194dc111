import datetime

import pytest

from labcases.cases.choices import Act, StageKind
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.planning.actions.giving import give, set_pinned, weigh_case
from labcases.planning.models import CaseWeight, PlannedWork
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.planning.laboratory import NOW, case_here, stage

pytestmark = pytest.mark.django_db
WEDNESDAY = datetime.date(2026, 3, 4)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def tray():
    return stage(case_here(), StageKind.CUSTOM_TRAY)


def test_a_stage_given_by_hand_is_pinned_to_its_person_and_day(manager, tray):
    person = TechnicianFactory()
    assert give(stages=[(tray, tray.version)], to=person, by=manager, now=NOW, planned_on=WEDNESDAY) == 1
    tray.refresh_from_db()
    assert (tray.assignee, tray.planned_on) == (person, WEDNESDAY)
    planned = PlannedWork.objects.get()
    assert (planned.stage, planned.person, planned.pinned) == (tray, person, True)
    assert tray.case.events.last().act == Act.ASSIGNED


def test_a_stage_taken_back_is_planned_no_more(manager, tray):
    give(stages=[(tray, tray.version)], to=TechnicianFactory(), by=manager, now=NOW)
    tray.refresh_from_db()
    give(stages=[(tray, tray.version)], to=None, by=manager, now=NOW)
    tray.refresh_from_db()
    assert tray.assignee is None
    assert not PlannedWork.objects.exists()


def test_many_are_given_all_or_none(manager, tray):
    other = stage(case_here(), StageKind.CUSTOM_TRAY)
    with pytest.raises(Conflict):
        give(
            stages=[(tray, tray.version), (other, other.version + 1)],
            to=TechnicianFactory(),
            by=manager,
            now=NOW,
        )
    tray.refresh_from_db()
    assert tray.assignee is None
    assert not PlannedWork.objects.exists()


def test_a_pin_can_be_set_and_taken_off(manager, tray):
    with pytest.raises(Refused, match="nobody"):
        set_pinned(stage=tray, pinned=True, by=manager, now=NOW)
    give(stages=[(tray, tray.version)], to=TechnicianFactory(), by=manager, now=NOW)
    set_pinned(stage=tray, pinned=False, by=manager, now=NOW)
    assert not PlannedWork.objects.get().pinned


def test_a_case_weighs_what_the_manager_says(manager, tray):
    weigh_case(case=tray.case, weight=3, by=manager, now=NOW)
    weigh_case(case=tray.case, weight=5, by=manager, now=NOW)
    assert CaseWeight.objects.get().weight == 5
    for weight in (0, 10):
        with pytest.raises(Refused):
            weigh_case(case=tray.case, weight=weight, by=manager, now=NOW)


def test_only_managers_give_pin_and_weigh(tray):
    person = TechnicianFactory()
    for attempt in (
        lambda: give(stages=[(tray, tray.version)], to=person, by=person, now=NOW),
        lambda: set_pinned(stage=tray, pinned=True, by=person, now=NOW),
        lambda: weigh_case(case=tray.case, weight=3, by=person, now=NOW),
    ):
        with pytest.raises(NotAllowed):
            attempt()
