"""One act for many: each line guarded, what fails is named, the rest is done."""

import pytest
from django.utils import timezone

from labcases.cases.actions.moves import finish_stage, hold_stage, start_stage
from labcases.cases.models import Case
from labcases.cases.queries import cases_by_number
from labcases.measurements.actions.together import Disinfected, Line, do_to_many
from labcases.measurements.choices import ForMany
from labcases.measurements.queries import step_for_many
from labcases.people.refusals import Refused
from tests.bench.benchwork import coming_case, seen, stage_at_work, waiting_stage
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
SOAKED = Disinfected(agent="Label A", minutes=10, minutes_required=10)


@pytest.fixture
def technician():
    return TechnicianFactory()


def ready_to_hand_over(technician):
    stage = stage_at_work(by=technician)
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=timezone.now())
    return stage.case


def line(case):
    fresh = Case.objects.with_current_stage().get(pk=case.pk)
    stage = fresh.current_stage
    return Line(fresh, stage.pk, stage.version)


def do(act, *lines, by, disinfected=None):
    return do_to_many(lines=lines, act=act, by=by, now=timezone.now(), disinfected=disinfected)


def test_each_case_says_the_one_step_that_is_next(technician):
    held = stage_at_work(by=technician, kind="processing")
    hold_stage(stage=held, by=technician, expected_version=held.version, reason="wax", now=timezone.now())
    cases = {
        ForMany.RECEIVE: coming_case(),
        ForMany.START: waiting_stage().case,
        ForMany.FINISH: stage_at_work(by=technician, kind="processing").case,
        ForMany.HAND_OVER: ready_to_hand_over(technician),
    }
    for act, case in cases.items():
        assert step_for_many(line(case).case).act == act
    for case, words in (
        (stage_at_work(by=technician).case, "finish it on its own sheet"),
        (held.case, "on hold: wax"),
        (waiting_stage(base_material="").case, "prescription is incomplete"),
    ):
        step = step_for_many(line(case).case)
        assert step.act == ""
        assert words in step.words


@pytest.mark.parametrize("act", ForMany.values)
def test_the_act_is_done_to_all_of_them(act, technician):
    made = {
        "receive": coming_case,
        "start": lambda: waiting_stage().case,
        "finish": lambda: stage_at_work(by=technician, kind="processing").case,
        "hand_over": lambda: ready_to_hand_over(technician),
    }[act]
    lines = [line(made()) for _ in range(3)]
    assert do(act, *lines, by=technician, disinfected=SOAKED) == []
    logged = {"receive": "received", "start": "started", "finish": "finished", "hand_over": "handed_over"}[
        act
    ]
    for each in lines:
        assert each.case.events.order_by("-pk").first().act == logged


def test_who_was_quicker_is_named_and_the_others_are_done(technician):
    other = TechnicianFactory()
    quick, rest = waiting_stage(), waiting_stage()
    lines = [line(quick.case), line(rest.case)]
    start_stage(stage=quick, by=other, expected_version=quick.version, now=timezone.now())
    (left,) = do(ForMany.START, *lines, by=technician)
    assert left.case == quick.case
    assert "now in progress" in left.why
    assert (seen(quick).assignee, seen(rest).assignee) == (other, technician)


def test_a_line_seen_in_another_version_is_left_alone(technician):
    stage = waiting_stage()
    old = line(stage.case)
    (left,) = do(ForMany.START, Line(old.case, old.stage, old.version - 1), by=technician)
    assert "no longer as you saw it" in left.why
    assert seen(stage).state == "waiting"


def test_a_case_at_another_point_is_left_with_what_it_waits_for(technician):
    at_bench = waiting_stage()
    (left,) = do(ForMany.HAND_OVER, line(at_bench.case), by=technician)
    assert "Waits for occlusion rims" in left.why
    with_figures = stage_at_work(by=technician)
    (left,) = do(ForMany.FINISH, line(with_figures.case), by=technician)
    assert seen(with_figures).state == "in_progress"


def test_nothing_is_received_without_its_disinfection(technician):
    case = coming_case()
    (left,) = do(ForMany.RECEIVE, line(case), by=technician)
    assert "disinfected" in left.why
    short = Disinfected(agent="Label A", minutes=5, minutes_required=10)
    (left,) = do(ForMany.RECEIVE, line(case), by=technician, disinfected=short)
    assert "shorter" in left.why
    assert Case.objects.get(pk=case.pk).location == "to_laboratory"


def test_an_unknown_act_is_refused(technician):
    with pytest.raises(Refused):
        do("cancel", by=technician)


def test_a_clinician_can_do_none_of_it():
    case = coming_case()
    (left,) = do(ForMany.RECEIVE, line(case), by=case.prescriber, disinfected=SOAKED)
    assert "Only the laboratory" in left.why


def test_cases_are_found_by_number_only_by_who_may_see_them():
    case, number = coming_case(), "26-99999-0"
    assert cases_by_number(ManagerFactory(), [case.number, number]) == {case.number: case}
    assert cases_by_number(ClinicianFactory(), [case.number]) == {}
