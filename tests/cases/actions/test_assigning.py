"""Giving out work: one stage or many at once, all of them or none."""

import datetime

import pytest

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Case, Stage
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.cases.walking import current, only_event_since, receive, start, walk_to
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

DAY = datetime.date(2026, 3, 4)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def technician():
    return TechnicianFactory()


def give(*stages, to, by, versions=None, planned_on=None):
    seen = versions or [stage.version for stage in stages]
    return assign(stages=zip(stages, seen, strict=True), to=to, by=by, now=NOW, planned_on=planned_on)


def owners(*stages):
    return [Stage.objects.get(pk=stage.pk).assignee for stage in stages]


def test_a_stage_is_given_with_the_day_on_which_it_is_planned(manager, technician):
    case = taken_in_case()
    stage, before = current(case), case.events.count()
    assert give(stage, to=technician, by=manager, planned_on=DAY) == 1
    kept = Stage.objects.get(pk=stage.pk)
    assert (kept.assignee, kept.planned_on, kept.version) == (technician, DAY, 2)
    event = only_event_since(case, before)
    assert (event.act, event.by, event.at, event.stage) == (Act.ASSIGNED, manager, NOW, stage)
    assert (event.before, event.after) == ({"assignee": None}, {"assignee": technician.pk})


def test_giving_it_on_keeps_the_planned_day(manager, technician):
    stage = current(taken_in_case())
    give(stage, to=technician, by=manager, planned_on=DAY)
    other = TechnicianFactory()
    give(current(stage.case), to=other, by=manager)
    kept = Stage.objects.get(pk=stage.pk)
    assert (kept.assignee, kept.planned_on) == (other, DAY)


def test_a_stage_is_taken_from_everybody(manager, technician):
    stage = current(taken_in_case())
    give(stage, to=technician, by=manager)
    give(current(stage.case), to=None, by=manager)
    assert owners(stage) == [None]


def test_many_are_given_at_once(manager, technician):
    stages = [current(taken_in_case()) for _ in range(3)]
    assert give(*stages, to=technician, by=manager) == 3
    assert owners(*stages) == [technician] * 3


def test_all_are_given_or_none(manager, technician):
    stages = [current(taken_in_case()) for _ in range(3)]
    before = [stage.case.events.count() for stage in stages]
    with pytest.raises(Conflict):
        give(*stages, to=technician, by=manager, versions=[1, 1, 7])
    assert owners(*stages) == [None] * 3
    assert [stage.case.events.count() for stage in stages] == before
    give(*stages, to=technician, by=manager)


def test_two_stages_of_one_case_are_given_at_once(manager, technician):
    case = taken_in_case()
    stages = [case.stages.get(kind=kind) for kind in (StageKind.OCCLUSION_RIMS, StageKind.RECORD_BASE)]
    give(*stages, to=technician, by=manager)
    assert owners(*stages) == [technician] * 2


def test_only_a_manager_gives_out_work(technician):
    stage = current(taken_in_case())
    for someone in (technician, stage.case.prescriber):
        with pytest.raises(NotAllowed):
            give(stage, to=technician, by=someone)
    assert owners(stage) == [None]


@pytest.mark.parametrize("make", [ClinicianFactory, lambda: TechnicianFactory(is_active=False)])
def test_work_is_given_to_people_of_the_laboratory_only(manager, make):
    stage = current(taken_in_case())
    with pytest.raises(Refused, match="does not work in the laboratory"):
        give(stage, to=make(), by=manager)
    assert owners(stage) == [None]


def test_what_is_done_is_not_given_out(manager, technician):
    case = taken_in_case()
    done = current(case)
    walk_to(case, StageKind.DEFINITIVE_IMPRESSIONS, manager)
    done.refresh_from_db()
    with pytest.raises(Conflict):
        give(done, to=technician, by=manager)


def test_the_clinics_stages_are_not_given_out(manager, technician):
    stage = walk_to(taken_in_case(), StageKind.DEFINITIVE_IMPRESSIONS, manager)
    with pytest.raises(Conflict):
        give(stage, to=technician, by=manager)


def test_work_of_a_cancelled_case_is_not_given_out(manager, technician):
    case = taken_in_case()
    cancel_case(case=case, by=manager, reason="Moved", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict, match="cancelled"):
        give(current(case), to=technician, by=manager)
    assert owners(current(case)) == [None]


def test_work_at_the_bench_changes_hands(manager, technician):
    case = taken_in_case()
    receive(case, technician)
    stage = start(current(case), technician)
    other = TechnicianFactory()
    give(stage, to=other, by=manager)
    assert owners(stage) == [other]
    assert Case.objects.get(pk=case.pk).current_stage_id == stage.pk
