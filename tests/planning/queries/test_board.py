import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from labcases.cases.actions.moves import start_stage
from labcases.cases.choices import StageKind, StageState
from labcases.planning.actions.giving import give
from labcases.planning.queries.board import bench_order, preview, read_board
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.factories.planning import AbsenceFactory, StandardTimeFactory
from tests.planning.laboratory import NOW, case_here, skilled, stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def finisher():
    """Somebody for the stages after those that a test is about."""
    return skilled("processing")


MONDAY, TUESDAY = datetime.date(2026, 3, 2), datetime.date(2026, 3, 3)


def given(case, kind, to, planned_on=None):
    made = stage(case, kind)
    give(stages=[(made, made.version)], to=to, by=ManagerFactory(), now=NOW, planned_on=planned_on)
    made.refresh_from_db()
    return made


def arrangement(**more):
    """A case that waits for its tooth arrangement: 270 minutes."""
    return case_here(starts_at=StageKind.TOOTH_ARRANGEMENT, **more)


def row_of(board, person):
    return next(row for row in board.rows if row.person.pk == person.pk)


def test_hours_given_away_are_booked_and_the_rest_is_free():
    person = skilled("arrangement")
    made = given(arrangement(), StageKind.TOOTH_ARRANGEMENT, person, TUESDAY)
    monday, tuesday, *_ = row_of(read_board(now=NOW), person).cells
    assert (monday.there, monday.booked, monday.free) == (480, 0, 480)
    assert (tuesday.booked, tuesday.free, tuesday.percent) == (270, 210, 56)
    ((_, work),) = tuesday.stages
    assert work.pk == made.pk


def test_work_that_nobody_was_given_books_nobody_s_hours():
    person = skilled("arrangement")
    arrangement()
    board = read_board(now=NOW)
    assert sum(cell.booked for cell in row_of(board, person).cells) == 0
    assert len(board.unassigned) == 1


def test_a_person_away_has_no_hours_that_day():
    person = skilled("arrangement")
    AbsenceFactory(person=person, first_day=MONDAY, last_day=MONDAY)
    monday, tuesday, *_ = row_of(read_board(now=NOW), person).cells
    assert (monday.there, monday.percent) == (0, 0)
    assert tuesday.there == 480


def test_late_and_at_risk_are_told_apart_and_the_most_pressing_comes_first(finisher):
    """One person; four arrangements of 4.5 hours wanted on Tuesday evening and one wanted in three weeks."""
    skilled("arrangement")
    easy = arrangement(wanted_in_days=7)
    tight = [arrangement() for _ in range(4)]
    for case in tight:
        case.stages.filter(kind=StageKind.TRY_IN).update(due_on=datetime.date(2026, 3, 4))
        case.stages.filter(kind=StageKind.PROCESSING).update(state=StageState.SKIPPED)
    board = read_board(now=NOW)
    first = board.standings[0]
    assert first.leg.case.number in [case.number for case in tight]
    assert first.is_late
    assert first.explanation.words.startswith("Waits")
    assert board.late_cases == 1
    assert board.standings[-1].leg.case.number == easy.number
    assert not board.standings[-1].is_late
    assert not board.standings[-1].is_at_risk


def test_work_that_nobody_can_do_is_late_whatever_its_day():
    skilled("processing")
    arrangement()
    board = read_board(now=NOW)
    assert board.standings[0].is_late
    assert board.standings[0].explanation.words == "Nobody here does tooth arrangement."


def test_the_board_is_there_without_people_and_without_work():
    assert read_board(now=NOW).standings == ()
    arrangement()
    assert read_board(now=NOW).rows == ()


def test_a_preview_says_what_becomes_late_before_it_does(finisher):
    """Giving the far case to the one person for Monday and Tuesday pushes out what is wanted on Tuesday."""
    StandardTimeFactory(stage_kind="tooth_arrangement", hands_on_minutes=400, skill="arrangement", lab_days=1)
    person = skilled("arrangement")
    urgent, far = arrangement(), arrangement(wanted_in_days=20)
    urgent.stages.filter(kind=StageKind.TRY_IN).update(due_on=TUESDAY)
    work = stage(far, StageKind.TOOTH_ARRANGEMENT)
    harmless = preview(stages=[work], to=person, day=None, now=NOW)
    assert harmless.consequences == ()
    other = stage(urgent, StageKind.TOOTH_ARRANGEMENT)
    late = preview(stages=[other], to=person, day=datetime.date(2026, 3, 4), now=NOW)
    (consequence,) = late.worse
    assert consequence.leg.case.number == urgent.number
    assert (consequence.before, consequence.after) == (0, 2)
    assert consequence.words.startswith("becomes 2 days late: ready Wed 4 Mar")
    assert late.placements[0].person == person.pk
    assert stage(urgent, StageKind.TOOTH_ARRANGEMENT).assignee is None


def test_a_preview_tells_when_something_will_be_in_time_again(finisher):
    helper = skilled("arrangement", display_name="Ada")
    busy = skilled("arrangement")
    one, two = arrangement(), arrangement()
    for case in (one, two):
        case.stages.filter(kind=StageKind.TRY_IN).update(due_on=TUESDAY)
        given(case, StageKind.TOOTH_ARRANGEMENT, busy)
    assert read_board(now=NOW).late_cases == 1
    late = next(standing for standing in read_board(now=NOW).standings if standing.is_late)
    seen = preview(stages=[late.stage], to=helper, day=None, now=NOW)
    assert [consequence.words for consequence in seen.consequences] == ["will be in time"]
    assert seen.worse == []


def test_a_preview_warns_of_a_missing_skill_an_absence_and_a_full_day():
    person = skilled("processing", display_name="Ben")
    AbsenceFactory(person=person, first_day=TUESDAY, last_day=TUESDAY)
    works = [stage(arrangement(), StageKind.TOOTH_ARRANGEMENT) for _ in range(2)]
    away = preview(stages=works[:1], to=person, day=TUESDAY, now=NOW)
    assert "Ben has no recorded skill in tooth arrangement" in away.warnings[0]
    assert away.warnings[1] == "Ben does not work on Tue 3 Mar."
    full = preview(stages=works, to=person, day=MONDAY, now=NOW)
    assert full.warnings[-1] == "Ben has 8.0 h on Mon 2 Mar; this takes 9.0 h."


def test_the_day_s_order_is_the_one_that_keeps_appointments():
    person = skilled("arrangement")
    later, sooner = arrangement(wanted_in_days=5), arrangement(wanted_in_days=3)
    for case in (later, sooner):
        given(case, StageKind.TOOTH_ARRANGEMENT, person)
    assert [placement.job.label for placement in bench_order(person, now=NOW)] == [
        sooner.number,
        later.number,
    ]
    begun = stage(later, StageKind.TOOTH_ARRANGEMENT)
    start_stage(stage=begun, by=person, expected_version=begun.version, now=NOW)
    assert [placement.job.label for placement in bench_order(person, now=NOW)] == [
        later.number,
        sooner.number,
    ]
    assert bench_order(TechnicianFactory(), now=NOW) == []


def test_the_board_takes_the_same_queries_for_one_case_and_for_three():
    person = skilled("arrangement")
    given(arrangement(), StageKind.TOOTH_ARRANGEMENT, person)
    with CaptureQueriesContext(connection) as one:
        read_board(now=NOW)
    for _ in range(2):
        given(arrangement(), StageKind.TOOTH_ARRANGEMENT, skilled("arrangement"))
    with CaptureQueriesContext(connection) as three:
        read_board(now=NOW)
    assert len(one) == len(three) <= 12
