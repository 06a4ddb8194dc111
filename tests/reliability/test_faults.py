"""The database fails before or after any statement of an act: all of it is kept, or nothing."""

import datetime

import pytest
from django.db import OperationalError, connection

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Event, Stage
from labcases.measurements.actions.finishing import finish_bench_stage
from labcases.measurements.actions.prescribing import take_in_case
from labcases.measurements.actions.readings import correct_reading, record_readings
from labcases.measurements.actions.returning import send_back
from labcases.people.actions.once import do_once
from labcases.people.models import OneTimeKey
from labcases.planning.actions.due_days import lay_due_days
from labcases.planning.actions.proposing import accept, propose
from tests.cases.walking import current, finish, walk_to
from tests.factories.cases import FULL_PRESCRIPTION, NOW, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory
from tests.measurements.bench import HEIGHT, LATER, at_work, take
from tests.planning.laboratory import NOW as MONDAY
from tests.planning.laboratory import case_here, skilled
from tests.reliability.faults import Fault, half_done, rows, statements_of, undone

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return ManagerFactory()


def finishing_with_figures(manager):
    """As the sheet sends it: the form's key, its figures, the stage and the days that follow, in one."""
    stage = at_work(by=manager)

    def finish_it():
        record_readings(stage=stage, entries=[entry(HEIGHT, "22.0", "22.1")], by=manager, now=LATER)
        finish_bench_stage(
            stage=stage, by=manager, expected_version=stage.version, now=LATER, reason="As agreed"
        )
        lay_due_days(case=stage.case, by=manager, now=LATER)
        return "/bench/"

    return lambda: do_once(key="sheet", user=manager, act=finish_it)


def sending_back(manager):
    case = taken_in_case(starts_at=StageKind.TOOTH_ARRANGEMENT)
    stage = walk_to(case, StageKind.TRY_IN, manager)
    to = Stage.objects.get(case=case, kind=StageKind.TOOTH_ARRANGEMENT)
    return lambda: send_back(
        stage=stage,
        to=to,
        cause="midline",
        note="Two to the left",
        by=manager,
        expected_version=stage.version,
        now=LATER,
    )


def taking_in(manager):
    LaboratoryFactory()
    prescriber = ClinicianFactory()
    return lambda: take_in_case(
        practice=prescriber.practice,
        kind="complete",
        arches="both",
        prescription={**FULL_PRESCRIPTION, "prescriber": prescriber},
        dates={StageKind.JAW_RELATION: NOW.date() + datetime.timedelta(days=14)},
        starts_at=StageKind.OCCLUSION_RIMS,
        figures=[entry("papilla_to_resting_lip", "7.5", instrument="papillameter")],
        prescribed={},
        by=manager,
        now=NOW,
        sign=True,
    )


def correcting(manager):
    stage = at_work(by=manager)
    (wrong,) = take(stage, entry(HEIGHT, "22.9"), by=manager)
    return lambda: correct_reading(
        reading=wrong, entry=entry(HEIGHT, "22.0"), reason="Slip", by=manager, now=LATER
    )


def handing_over(manager):
    stage = at_work(by=manager)
    finish(stage, manager)
    return lambda: hand_to_clinic(case=stage.case, by=manager, now=LATER)


def accepting_a_plan(manager):
    skilled("arrangement", "processing")
    for _ in range(2):
        case_here(starts_at=StageKind.TOOTH_ARRANGEMENT)
    proposal = propose(by=manager, now=MONDAY)
    return lambda: accept(proposal=proposal, by=manager, now=MONDAY)


def statements_tried(act):
    with undone():
        return statements_of(act)


MAIN_ACTS = [finishing_with_figures, sending_back, taking_in, correcting, handing_over, accepting_a_plan]


@pytest.mark.parametrize("prepare", MAIN_ACTS, ids=lambda act: act.__name__)
def test_an_act_that_meets_a_fault_keeps_nothing_of_itself(prepare, manager, proof):
    act = prepare(manager)
    faults, wrong = half_done(act, thoroughly=False)
    assert not wrong, "\n".join(wrong)
    assert faults >= 8
    proof("faults-in-main-acts").reached(1, "acts")


def test_after_a_fault_the_same_form_can_be_sent_again(manager):
    act = finishing_with_figures(manager)
    last = Fault(len(statements_tried(act)), "before")
    with pytest.raises(OperationalError), connection.execute_wrapper(last):
        act()
    assert act() == "/bench/"
    stage = Stage.objects.get(kind=StageKind.OCCLUSION_RIMS)
    assert (stage.state, stage.readings.count()) == ("done", 1)
    assert Event.objects.filter(act=Act.FINISHED).count() == OneTimeKey.objects.count() == 1


def test_an_act_of_two_transactions_would_be_found_out(manager):
    """One that is written in two steps, as none may be."""
    stage = at_work(by=manager)

    def in_two_steps():
        record_readings(stage=stage, entries=[entry(HEIGHT, "22.0")], by=manager, now=LATER)
        finish_bench_stage(
            stage=stage, by=manager, expected_version=stage.version, now=LATER, reason="As agreed"
        )

    before = rows()
    _, wrong = half_done(in_two_steps, thoroughly=False)
    assert any(each.startswith("kept a half") for each in wrong)
    assert rows() == before
    assert current(stage.case).kind == StageKind.OCCLUSION_RIMS


def test_an_act_that_hides_a_fault_would_be_found_out(manager):
    act = correcting(manager)

    def in_silence():
        try:
            act()
        except Exception:
            return

    _, wrong = half_done(in_silence, thoroughly=False)
    assert any(each.startswith("not told") for each in wrong)
