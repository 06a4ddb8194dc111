"""What waits for the office: one rule read in two ways, row by row and as one query."""

import datetime
import itertools

import pytest

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.crossings import hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.dates import set_dates
from labcases.cases.actions.intake import change_prescription
from labcases.cases.actions.moves import finish_stage, start_stage
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import Decision, ReturnCause, StageKind
from labcases.cases.queries import cases_to_decide, find_cases, stages_to_return_to
from labcases.cases.rules import decisions
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)
TODAY = NOW.date()


@pytest.fixture
def manager():
    return ManagerFactory()


def decided(manager, *, today=TODAY, soon=None):
    found = cases_to_decide(manager, today=today, soon=soon or today + DAY)
    return {case.number: decisions(case, today=today, soon=soon or today + DAY) for case in found}


def receive(case, by):
    receive_at_laboratory(case=case, agent="Label A", minutes=10, minutes_required=10, by=by, now=NOW)


def give(case, to, by):
    case.refresh_from_db()
    assign(stages=[(case.current_stage, case.current_stage.version)], to=to, by=by, now=NOW)


def test_a_case_on_its_way_waits_to_be_received_and_given_out(manager):
    case = taken_in_case()
    assert decided(manager) == {case.number: (Decision.UNASSIGNED, Decision.TO_RECEIVE)}


def test_a_case_that_somebody_has_in_time_waits_for_nobody(manager):
    case = taken_in_case()
    receive(case, manager)
    give(case, TechnicianFactory(), manager)
    assert decided(manager) == {}


def test_work_due_by_the_next_day_is_near_and_after_it_late(manager):
    case = taken_in_case()
    receive(case, manager)
    give(case, TechnicianFactory(), manager)
    due = case.stages.get(pk=case.current_stage_id).due_on
    assert decided(manager, today=due - DAY) == {case.number: (Decision.SOON,)}
    assert decided(manager, today=due) == {case.number: (Decision.SOON,)}
    assert decided(manager, today=due + DAY) == {case.number: (Decision.LATE,)}


def test_an_incomplete_prescription_is_not_given_out(manager):
    case = taken_in_case(sign=False)
    assert decided(manager) == {case.number: (Decision.INCOMPLETE, Decision.TO_RECEIVE)}


def test_finished_work_is_handed_over_and_missed_when_the_clinic_is_silent(manager):
    case = taken_in_case()
    receive(case, manager)
    case.refresh_from_db()
    stage = case.current_stage
    start_stage(stage=stage, by=manager, expected_version=stage.version, now=NOW)
    stage.refresh_from_db()
    finish_stage(stage=stage, by=manager, expected_version=stage.version, now=NOW)
    assert decided(manager) == {case.number: (Decision.TO_HAND_OVER,)}
    hand_to_clinic(case=case, by=manager, now=NOW)
    assert decided(manager) == {}
    assert decided(manager, today=TODAY + 30 * DAY) == {case.number: (Decision.OVERDUE,)}


def work_through(case, last, by):
    """Every stage up to `last`, with the crossings between."""
    for _ in range(20):
        case.refresh_from_db()
        stage = case.current_stage
        if stage.kind == last:
            return stage
        if case.location == "to_laboratory":
            receive(case, by)
        if stage.place == "clinic":
            hand_to_clinic(case=case, by=by, now=NOW)
        else:
            start_stage(stage=stage, by=by, expected_version=stage.version, now=NOW)
            stage.refresh_from_db()
        finish_stage(stage=stage, by=by, expected_version=stage.version, now=NOW)
    raise AssertionError("the path has no such stage")


def test_what_came_back_says_so_until_it_is_taken_up(manager):
    case = taken_in_case()
    stage = work_through(case, StageKind.JAW_RELATION, manager)
    hand_to_clinic(case=case, by=manager, now=NOW)
    rims = next(each for each in stages_to_return_to(case) if each.kind == StageKind.OCCLUSION_RIMS)
    send_back(
        stage=stage,
        to=rims,
        cause=ReturnCause.RIM_HEIGHT,
        note="",
        by=manager,
        expected_version=stage.version,
        now=NOW,
    )
    assert Decision.CAME_BACK in decided(manager)[case.number]
    receive(case, manager)
    case.refresh_from_db()
    again = case.current_stage
    start_stage(stage=again, by=manager, expected_version=again.version, now=NOW)
    # Nobody has said yet for which day the repeated visit wants it.
    assert decided(manager) == {case.number: (Decision.UNDATED,)}
    set_dates(case=case, dates={StageKind.JAW_RELATION: TODAY + 20 * DAY}, by=manager, now=NOW)
    assert decided(manager) == {}
    again.refresh_from_db()
    finish_stage(stage=again, by=manager, expected_version=again.version, now=NOW)
    assert decided(manager) == {case.number: (Decision.TO_HAND_OVER,)}


def test_the_query_finds_just_the_cases_that_the_rule_names(manager, rng):
    """Both ways read the same rule: random cases at random points, each day of a month."""
    for _ in range(8):
        case = taken_in_case(sign=rng.random() < 0.8, wanted_in_days=rng.choice([2, 5, 9]))
        if case.is_open and case.state == "open":
            work_through(
                case, rng.choice([StageKind.CUSTOM_TRAY, StageKind.OCCLUSION_RIMS, StageKind.TRY_IN]), manager
            )
            if rng.random() < 0.5:
                case.refresh_from_db()
                if case.current_stage.place == "laboratory":
                    give(case, TechnicianFactory(), manager)
            if rng.random() < 0.5:
                set_dates(case=case, dates={StageKind.JAW_RELATION: None}, by=manager, now=NOW)
            if rng.random() < 0.4:
                change(case, manager)
    everyone = find_cases(manager, today=TODAY, state="all").prefetch_related("returns__to_stage")
    for today in (TODAY + n * DAY for n in range(0, 30, 3)):
        by_rule = {case.number for case in everyone if decisions(case, today=today, soon=today + DAY)}
        found = [case.number for case in cases_to_decide(manager, today=today, soon=today + DAY)]
        assert sorted(found) == sorted(by_rule)


def change(case, by):
    case.refresh_from_db()
    changes = {"notes": "Changed on the telephone"}
    change_prescription(case=case, changes=changes, by=by, expected_version=case.version, now=NOW)


def test_a_change_before_work_begins_makes_it_incomplete_and_one_after_leaves_it_unsigned(manager):
    waiting, begun = taken_in_case(), taken_in_case()
    work_through(begun, StageKind.MASTER_CAST, manager)
    for case in (waiting, begun):
        change(case, manager)
    found = decided(manager)
    assert Decision.INCOMPLETE in found[waiting.number]
    assert Decision.UNSIGNED not in found[waiting.number]
    assert found[begun.number][0] == Decision.UNSIGNED


def test_a_day_for_a_later_visit_alone_drives_no_work_at_the_bench(manager):
    case = taken_in_case()
    receive(case, manager)
    give(case, TechnicianFactory(), manager)
    set_dates(case=case, dates={StageKind.DEFINITIVE_IMPRESSIONS: None}, by=manager, now=NOW)
    assert decided(manager) == {case.number: (Decision.UNDATED,)}


def test_nobody_elses_cases_wait(manager):
    taken_in_case()
    assert not cases_to_decide(ClinicianFactory(), today=TODAY, soon=TODAY).exists()


FILTERS = {
    "text": "P-100",
    "state": "open",
    "where": "to_laboratory",
    "person": "nobody",
    "stage": StageKind.CUSTOM_TRAY,
}


@pytest.mark.parametrize("names", list(itertools.combinations(FILTERS, 2)))
def test_filters_are_joined_by_and(manager, names):
    case = taken_in_case()
    wanted = {name: FILTERS[name] for name in names}
    assert list(find_cases(manager, today=TODAY, **wanted)) == [case]
    for name in names:
        other = {"text": "P-999", "state": "complete", "where": "clinic", "person": "0", "stage": "try_in"}[
            name
        ]
        assert not find_cases(manager, today=TODAY, **(wanted | {name: other})).exists()


def test_cases_are_found_by_their_practice(manager):
    case, other = taken_in_case(), taken_in_case()
    assert list(find_cases(manager, today=TODAY, practice=case.practice_id)) == [case]
    assert other.practice_id != case.practice_id
