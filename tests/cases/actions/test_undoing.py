"""What was done is taken back whole by who did it, at once, and only while nothing has happened since."""

import datetime

import pytest

from labcases.cases.actions.checklists import tick_all_steps, tick_step
from labcases.cases.actions.guards import log
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.moves import finish_stage, hold_stage, resume_stage, start_stage
from labcases.cases.actions.undoing import undo
from labcases.cases.models import Case, Stage
from labcases.cases.queries import undoable_act
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.bench.benchwork import seen, stage_at_work, waiting_stage
from tests.factories.people import ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2027, 1, 4, 9, 0, tzinfo=datetime.UTC)


@pytest.fixture
def technician():
    return TechnicianFactory()


def later(seconds):
    return NOW + datetime.timedelta(seconds=seconds)


def take_back(stage, *, by, seconds=10, version=None):
    event = stage.events.order_by("-pk").first()
    undo(event=event, by=by, expected_version=version or seen(stage).version, now=later(seconds))
    return event


def as_it_is(stage):
    """The rows of a case and its stages without the counters that only ever grow."""
    case = Case.objects.values().get(pk=stage.case_id)
    stages = Stage.objects.filter(case=stage.case_id).order_by("pk").values()
    steps = list(stage.steps.order_by("position").values("text", "done_at", "done_by"))
    counters = {"version": None, "log_length": None, "log_digest": None}
    return [{**row, **counters} for row in (case, *stages)], steps


def start(stage, by):
    start_stage(stage=stage, by=by, expected_version=stage.version, now=NOW)


def finish(stage, by):
    finish_stage(stage=stage, by=by, expected_version=stage.version, now=NOW)


def hold(stage, by):
    hold_stage(stage=stage, by=by, expected_version=stage.version, reason="wax", now=NOW)


def tick(stage, by):
    tick_step(step=stage.steps.first(), by=by, now=NOW)


def tick_all(stage, by):
    tick_all_steps(stage=stage, by=by, now=NOW)


ACTS = [
    (start, "started"),
    (finish, "finished"),
    (hold, "held"),
    (tick, "step_ticked"),
    (tick_all, "step_ticked"),
]
each_act = pytest.mark.parametrize(("act", "name"), ACTS, ids=lambda each: getattr(each, "__name__", ""))


def stage_for(act, technician):
    return waiting_stage() if act is start else stage_at_work(by=technician)


@each_act
def test_all_is_as_it_was_and_the_log_has_both(act, name, technician):
    stage = stage_for(act, technician)
    before = as_it_is(stage)
    act(stage, technician)
    assert as_it_is(stage) != before
    assert undoable_act(technician, now=later(29)).act == name
    event = take_back(stage, by=technician)
    assert as_it_is(stage) == before
    undone = stage.events.order_by("-pk").first()
    assert (undone.act, undone.by, undone.before["act"], undone.before["event"]) == (
        "undone",
        technician,
        name,
        event.pk,
    )
    assert stage.events.filter(pk=event.pk, act=name).exists()
    assert undoable_act(technician, now=later(11)) is None


@each_act
def test_after_half_a_minute_it_stands(act, name, technician):
    stage = stage_for(act, technician)
    act(stage, technician)
    before = as_it_is(stage)
    assert undoable_act(technician, now=later(31)) is None
    with pytest.raises(Refused, match="More than 30 seconds"):
        take_back(stage, by=technician, seconds=31)
    assert as_it_is(stage) == before


@each_act
def test_what_happened_since_is_never_passed_over(act, name, technician):
    stage = stage_for(act, technician)
    act(stage, technician)
    event = stage.events.order_by("-pk").first()
    other = TechnicianFactory()
    case = Case.objects.get(pk=stage.case_id)
    if act in (start, tick, tick_all):
        hold(seen(stage), other)
    elif act is hold:
        resume_stage(stage=seen(stage), by=other, expected_version=seen(stage).version, now=NOW)
    else:
        cancel_case(
            case=case, by=ManagerFactory(), reason="moved", expected_version=case.version, now=later(1)
        )
    before = as_it_is(stage)
    assert undoable_act(technician, now=later(2)) is None
    with pytest.raises(Conflict):
        undo(event=event, by=technician, expected_version=seen(stage).version, now=later(2))
    assert as_it_is(stage) == before


@each_act
def test_nobody_takes_back_what_somebody_else_did(act, name, technician):
    stage = stage_for(act, technician)
    act(stage, technician)
    before = as_it_is(stage)
    with pytest.raises(NotAllowed):
        take_back(stage, by=TechnicianFactory())
    assert as_it_is(stage) == before


@pytest.mark.parametrize("act", [start, finish, hold])
def test_a_page_of_another_version_takes_nothing_back(act, technician):
    stage = stage_for(act, technician)
    act(stage, technician)
    before = as_it_is(stage)
    with pytest.raises(Conflict):
        take_back(stage, by=technician, version=99)
    assert as_it_is(stage) == before


def test_it_is_taken_back_once(technician):
    stage = waiting_stage()
    start(stage, technician)
    event = take_back(stage, by=technician)
    with pytest.raises(Conflict):
        undo(event=event, by=technician, expected_version=seen(stage).version, now=later(11))


def test_a_stage_that_was_somebodys_is_theirs_again(technician):
    other = TechnicianFactory()
    for given in (None, other):
        stage = waiting_stage(to=given)
        start(stage, technician)
        take_back(stage, by=technician)
        assert seen(stage).assignee == given


def test_what_a_clinic_did_is_not_taken_back_here(technician):
    stage = waiting_stage()
    clinic = stage.case.stages.filter(place="clinic").first()
    event = log(stage.case, "finished", by=technician, now=NOW, stage=clinic)
    with pytest.raises(Refused, match="further step"):
        undo(event=event, by=technician, expected_version=1, now=NOW)
    assert undoable_act(technician, now=NOW) is None
