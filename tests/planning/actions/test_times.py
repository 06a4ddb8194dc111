import pytest

from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.planning.actions import times as actions
from labcases.planning.models import PersonSkill
from labcases.planning.queries.times import OwnTime, standard_times, stored_times
from labcases.planning.scheduling.times import USUAL_TIMES, StandardTime
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.planning.laboratory import NOW

pytestmark = pytest.mark.django_db
TRAY = StandardTime("custom_tray", 30, 40, 50, 2, "bases_and_rims", 70)


@pytest.fixture
def manager():
    return ManagerFactory()


def set_tray(by, version=0, time=TRAY):
    actions.set_standard_time(time=time, by=by, now=NOW, expected_version=version)


def test_a_time_set_comes_back_and_is_guarded(manager):
    set_tray(manager)
    found = standard_times()["custom_tray"]
    assert found.pieces() == TRAY.pieces()
    assert (found.lab_days, found.skill, found.one_arch_percent) == (2, "bases_and_rims", 70)
    with pytest.raises(Conflict) as conflict:
        set_tray(manager)
    assert conflict.value.who == str(manager)
    set_tray(manager, stored_times()["custom_tray"].version)


def test_a_clinic_stage_has_no_laboratory_time(manager):
    with pytest.raises(Refused, match="no such kind"):
        set_tray(manager, time=StandardTime("try_in", 30, 0, 0, 0, "arrangement"))


def test_an_own_median_is_adopted_with_how_many_stages_it_came_from(manager):
    own = OwnTime("processing", 9, 210.4, 260)
    actions.adopt_own_time(own=own, by=manager, now=NOW, expected_version=0)
    found = standard_times()["processing"]
    assert found.hands == 210
    assert found.waiting == USUAL_TIMES["processing"].waiting
    assert "9 stages" in found.source.citation


def test_too_few_finished_stages_are_not_adopted(manager):
    with pytest.raises(Refused, match="too few"):
        actions.adopt_own_time(own=OwnTime("reline", 4, 60, 60), by=manager, now=NOW, expected_version=0)


def test_the_delivered_time_can_be_used_again(manager):
    set_tray(manager)
    actions.use_delivered_time(stage_kind="custom_tray", by=manager, expected_version=1)
    assert standard_times()["custom_tray"] == USUAL_TIMES["custom_tray"]
    with pytest.raises(Conflict):
        actions.use_delivered_time(stage_kind="custom_tray", by=manager, expected_version=1)


def test_skills_are_replaced(manager):
    person = TechnicianFactory()
    actions.set_skills(person=person, skills=["arrangement", "processing"], expected=[], by=manager)
    actions.set_skills(
        person=person,
        skills=["processing", "casts_and_trays"],
        expected=["arrangement", "processing"],
        by=manager,
    )
    assert set(person.skills.values_list("skill", flat=True)) == {"processing", "casts_and_trays"}
    actions.set_skills(person=person, skills=[], expected=["processing", "casts_and_trays"], by=manager)
    assert not PersonSkill.objects.exists()


def test_unknown_skills_and_people_of_a_practice_are_refused(manager):
    with pytest.raises(Refused, match="from the list"):
        actions.set_skills(person=TechnicianFactory(), skills=["juggling"], expected=[], by=manager)
    with pytest.raises(Refused, match="does not work"):
        actions.set_skills(person=ClinicianFactory(), skills=["processing"], expected=[], by=manager)


def test_only_managers_set_times_and_skills():
    person = TechnicianFactory()
    own = OwnTime("reline", 9, 60, 60)
    for attempt in (
        lambda: set_tray(person),
        lambda: actions.adopt_own_time(own=own, by=person, now=NOW, expected_version=0),
        lambda: actions.use_delivered_time(stage_kind="reline", by=person, expected_version=1),
        lambda: actions.set_skills(person=person, skills=[], expected=[], by=person),
    ):
        with pytest.raises(NotAllowed):
            attempt()


@pytest.mark.django_db
def test_skills_that_changed_meanwhile_are_not_written_over(manager):
    person = TechnicianFactory()
    actions.set_skills(person=person, skills=["processing"], expected=[], by=manager)
    with pytest.raises(Conflict):
        actions.set_skills(person=person, skills=["arrangement"], expected=[], by=manager)
    assert [row.skill for row in person.skills.all()] == ["processing"]
