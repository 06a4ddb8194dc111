"""The plan that is kept between requests is the one that would be worked out anew, whatever has happened."""

import datetime
from types import SimpleNamespace

import pytest
from django.db import transaction

from labcases.cases.actions import assigning, checklists, crossings, dates, intake, moves, returns, undoing
from labcases.cases.choices import Act, ReturnCause, StageKind
from labcases.measurements.actions import clinic, finishing, prescribing, readings, returning, together
from labcases.measurements.choices import ForMany
from labcases.people.actions import staff
from labcases.planning.actions import due_days, giving, proposing, times, working_days
from labcases.planning.queries import outlook as kept
from labcases.planning.queries.basis import read_basis
from labcases.planning.queries.board import bench_order, read_board
from labcases.planning.queries.calendars import calendar_settings
from labcases.planning.queries.times import OwnTime
from labcases.planning.scheduling.times import USUAL_TIMES
from labcases.planning.working_time import Opening, Week
from tests.factories.cases import FULL_PRESCRIPTION, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, ManagerFactory
from tests.factories.planning import (
    AbsenceFactory,
    ClosedDayFactory,
    OpeningHoursFactory,
    StandardTimeFactory,
)
from tests.planning.laboratory import NOW, case_here, skilled, stage, tray_done
from tests.reliability.faults import undone
from tests.tools.every_action import acts

pytestmark = pytest.mark.django_db

TRAY, VISIT = StageKind.CUSTOM_TRAY, StageKind.DEFINITIVE_IMPRESSIONS
SHORT = Week.of(range(4), Opening(9 * 60, 13 * 60))
SKILLS = ("casts_and_trays", "bases_and_rims")


def day(number):
    return datetime.date(2026, 3, number)


@pytest.fixture(scope="module")
def site(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        yield made_site()
        transaction.set_rollback(True)


def made_site():
    """Cases on every part of the way to their first visit, two people, and settings of the laboratory's own."""
    desk, chair = ManagerFactory(), ClinicianFactory()
    ada, ben = skilled(*SKILLS, display_name="Ada Wax"), skilled(*SKILLS, display_name="Ben Rim")
    here = [case_here(by=desk, prescriber=chair) for _ in range(7)]
    waiting, begun, held, free, made, sent, visiting = here
    site = SimpleNamespace(desk=desk, chair=chair, ada=ada, ben=ben, waiting=waiting, begun=begun, held=held)
    site.free, site.made, site.visiting = free, made, visiting
    giving.give(stages=[seen(waiting)], to=ada, by=desk, now=NOW, pinned=False)
    moves.start_stage(**at_version(begun), by=ada, now=NOW)
    moves.start_stage(**at_version(held), by=ben, now=NOW)
    moves.hold_stage(**at_version(held), by=ben, now=NOW, reason="A cast is cracked.")
    for case in (made, sent, visiting):
        tray_done(case)
    crossings.hand_to_clinic(case=sent, by=desk, now=NOW)
    crossings.hand_to_clinic(case=visiting, by=desk, now=NOW)
    crossings.accept_at_clinic(case=visiting, by=chair, now=NOW)
    site.sent = sent
    site.coming = taken_in_case(by=desk, prescriber=chair, now=NOW)
    site.unsigned = taken_in_case(by=desk, prescriber=chair, now=NOW, sign=False)
    stage_of(free).__class__.objects.filter(pk=stage_of(free).pk).update(due_on=day(20))
    site.away = AbsenceFactory(person=ada, first_day=day(4), last_day=day(5))
    site.closed = ClosedDayFactory(day=day(6))
    site.holiday = ClosedDayFactory(day=day(3), worked=True)
    StandardTimeFactory(stage_kind="custom_tray", hands_on_minutes=200, skill=SKILLS[0], changed_by=desk)
    OpeningHoursFactory(person=ben, weekday=0)
    site.proposal = proposing.propose(by=desk, now=NOW)
    return site


def stage_of(case, kind=TRAY):
    return stage(case, kind)


def seen(case, kind=TRAY):
    found = stage_of(case, kind)
    return found, found.version


def at_version(case, kind=TRAY):
    found, version = seen(case, kind)
    return {"stage": found, "expected_version": version}


def row(case):
    case.refresh_from_db()
    return {"case": case, "expected_version": case.version}


def on_calendar(site):
    return {"by": site.desk, "expected_version": calendar_settings().version}


def line_of(case):
    case = type(case).objects.select_related("current_stage").get(pk=case.pk)
    return together.Line(case, case.current_stage.pk, case.current_stage.version)


def new_case(site):
    return {
        "practice": site.chair.practice,
        "kind": "complete",
        "arches": "both",
        "prescription": {**FULL_PRESCRIPTION, "prescriber": site.chair},
        "dates": {VISIT: day(9)},
        "starts_at": TRAY,
        "by": site.chair,
        "now": NOW,
    }


AT_CHAIR = {"findings": clinic.ChairFindings(), "outcome": "Taken.", "dates": {}, "now": NOW}
DISINFECTED = {"agent": "A", "minutes": 10, "minutes_required": 10}
BACK = {"cause": ReturnCause.OTHER, "note": "The handle is in the way."}
PATH = tuple(kind for kind in StageKind if kind in (TRAY, VISIT, StageKind.INSERTION))

# Whatever changes what a plan is made from, by the name of the act: done once, it changes the board.
MOVES = {
    "cases.actions.assigning.assign": lambda s: assigning.assign(
        stages=[seen(s.free)], to=s.ben, by=s.desk, now=NOW
    ),
    "cases.actions.crossings.accept_at_clinic": lambda s: crossings.accept_at_clinic(
        case=s.sent, by=s.chair, now=NOW
    ),
    "cases.actions.crossings.hand_to_clinic": lambda s: crossings.hand_to_clinic(
        case=s.made, by=s.desk, now=NOW
    ),
    "cases.actions.crossings.receive_at_laboratory": lambda s: crossings.receive_at_laboratory(
        case=s.coming, **DISINFECTED, by=s.ada, now=NOW
    ),
    "cases.actions.dates.set_dates": lambda s: dates.set_dates(
        case=s.free, dates={VISIT: day(5)}, by=s.desk, now=NOW
    ),
    "cases.actions.intake.cancel_case": lambda s: intake.cancel_case(
        **row(s.waiting), by=s.desk, reason="Taken in twice.", now=NOW
    ),
    "cases.actions.intake.change_prescription": lambda s: intake.change_prescription(
        **row(s.free), changes={}, dates={VISIT: day(5)}, by=s.chair, now=NOW
    ),
    "cases.actions.intake.sign_prescription": lambda s: intake.sign_prescription(
        **row(s.unsigned), by=s.chair, now=NOW
    ),
    "cases.actions.moves.finish_stage": lambda s: moves.finish_stage(
        **at_version(s.begun), by=s.ada, now=NOW
    ),
    "cases.actions.moves.hold_stage": lambda s: moves.hold_stage(
        **at_version(s.begun), by=s.ada, reason="Waits for wax.", now=NOW
    ),
    "cases.actions.moves.resume_stage": lambda s: moves.resume_stage(**at_version(s.held), by=s.ben, now=NOW),
    "cases.actions.moves.skip_stage": lambda s: moves.skip_stage(
        **at_version(s.free), by=s.desk, reason="A tray is there.", now=NOW
    ),
    "cases.actions.moves.start_stage": lambda s: moves.start_stage(
        **at_version(s.waiting), by=s.ada, now=NOW
    ),
    "cases.actions.returns.send_back": lambda s: returns.send_back(
        **at_version(s.visiting, VISIT), to=stage_of(s.visiting), **BACK, by=s.chair, now=NOW
    ),
    "cases.actions.undoing.undo": lambda s: undoing.undo(
        event=stage_of(s.begun).events.get(act=Act.STARTED),
        by=s.ada,
        expected_version=stage_of(s.begun).version,
        now=NOW,
    ),
    "measurements.actions.clinic.finish_clinic_stage": lambda s: clinic.finish_clinic_stage(
        **at_version(s.visiting, VISIT), **AT_CHAIR, by=s.chair
    ),
    "measurements.actions.clinic.return_from_clinic": lambda s: clinic.return_from_clinic(
        **at_version(s.visiting, VISIT),
        **AT_CHAIR,
        back=clinic.WorkReturn(stage_of(s.visiting), **BACK),
        by=s.chair,
    ),
    "measurements.actions.finishing.finish_bench_stage": lambda s: finishing.finish_bench_stage(
        **at_version(s.begun), by=s.ada, reason="Nothing to measure.", now=NOW
    ),
    "measurements.actions.prescribing.amend_case": lambda s: prescribing.amend_case(
        **row(s.free),
        changes={},
        dates={VISIT: day(5)},
        figures=(),
        corrections=(),
        reason="",
        prescribed={},
        by=s.chair,
        now=NOW,
    ),
    "measurements.actions.prescribing.take_in_case": lambda s: prescribing.take_in_case(
        **new_case(s), figures=(), prescribed={}, sign=True
    ),
    "measurements.actions.returning.send_back": lambda s: returning.send_back(
        **at_version(s.visiting, VISIT), to=stage_of(s.visiting), **BACK, by=s.chair, now=NOW
    ),
    "measurements.actions.together.do_to_many": lambda s: together.do_to_many(
        lines=[line_of(s.made)], act=ForMany.HAND_OVER, by=s.desk, now=NOW
    ),
    "people.actions.staff.add_person": lambda s: staff.add_person(
        username="cora", display_name="Cora Cast", role="technician", by=s.desk
    ),
    "people.actions.staff.change_person": lambda s: staff.change_person(
        s.ada, by=s.desk, expected_version=s.ada.version, is_active=False
    ),
    "people.actions.staff.change_practice": lambda s: staff.change_practice(
        s.chair.practice, by=s.desk, expected_version=s.chair.practice.version, name="The other practice"
    ),
    "planning.actions.due_days.lay_all_due_days": lambda s: due_days.lay_all_due_days(by=s.desk, now=NOW),
    "planning.actions.due_days.lay_due_days": lambda s: due_days.lay_due_days(
        case=s.free, by=s.desk, now=NOW
    ),
    "planning.actions.due_days.set_wanted_days": lambda s: due_days.set_wanted_days(
        case=s.free, dates={VISIT: day(5)}, by=s.desk, now=NOW
    ),
    "planning.actions.giving.give": lambda s: giving.give(
        stages=[seen(s.free)], to=s.ada, by=s.desk, now=NOW, planned_on=day(10)
    ),
    "planning.actions.giving.set_pinned": lambda s: giving.set_pinned(
        stage=stage_of(s.waiting), pinned=True, by=s.desk, now=NOW
    ),
    "planning.actions.giving.weigh_case": lambda s: giving.weigh_case(
        case=s.free, weight=9, by=s.desk, now=NOW
    ),
    "planning.actions.proposing.accept": lambda s: proposing.accept(proposal=s.proposal, by=s.desk, now=NOW),
    "planning.actions.times.adopt_own_time": lambda s: times.adopt_own_time(
        own=OwnTime("custom_tray", 9, 300, 320), by=s.desk, now=NOW, expected_version=1
    ),
    "planning.actions.times.set_skills": lambda s: times.set_skills(
        person=s.ada, skills=["processing"], expected=SKILLS, by=s.desk
    ),
    "planning.actions.times.set_standard_time": lambda s: times.set_standard_time(
        time=USUAL_TIMES["master_cast"].with_hands_on(400, USUAL_TIMES["master_cast"].source),
        by=s.desk,
        now=NOW,
        expected_version=0,
    ),
    "planning.actions.times.use_delivered_time": lambda s: times.use_delivered_time(
        stage_kind="custom_tray", by=s.desk, expected_version=1
    ),
    "planning.actions.working_days.add_absence": lambda s: working_days.add_absence(
        person=s.ben, first_day=day(2), last_day=day(3), by=s.desk
    ),
    "planning.actions.working_days.adopt_public_holidays": lambda s: working_days.adopt_public_holidays(
        country="AU", region="VIC", years=[2026], now=NOW, **on_calendar(s)
    ),
    "planning.actions.working_days.close_day_again": lambda s: working_days.close_day_again(
        closed=s.holiday, **on_calendar(s)
    ),
    "planning.actions.working_days.close_days": lambda s: working_days.close_days(
        first=day(2), last=day(3), reason="The floor is laid.", **on_calendar(s)
    ),
    "planning.actions.working_days.open_day": lambda s: working_days.open_day(
        closed=s.closed, **on_calendar(s)
    ),
    "planning.actions.working_days.remove_absence": lambda s: working_days.remove_absence(
        absence=s.away, by=s.desk
    ),
    "planning.actions.working_days.set_laboratory_week": lambda s: working_days.set_laboratory_week(
        week=SHORT, **on_calendar(s)
    ),
    "planning.actions.working_days.set_person_hours": lambda s: working_days.set_person_hours(
        person=s.ada, week=SHORT, **on_calendar(s)
    ),
    "planning.actions.working_days.set_transport": lambda s: working_days.set_transport(
        practice=s.chair.practice,
        cut_offs={2: datetime.time(10)},
        transit_days=2,
        by=s.desk,
        expected_version=0,
    ),
}

# What is often done and changes no plan: the kept one is shown again.
STAYS = {
    "cases.actions.checklists.tick_step": lambda s: checklists.tick_step(
        step=stage_of(s.begun).steps.first(), by=s.ada, now=NOW
    ),
    "cases.actions.checklists.set_path": lambda s: checklists.set_path(
        case_kind="complete", stage_kinds=PATH, by=s.desk
    ),
    "cases.actions.intake.open_case": lambda s: intake.open_case(**new_case(s)),
    "measurements.actions.readings.record_readings": lambda s: readings.record_readings(
        stage=stage_of(s.begun), entries=[entry("tray_thickness", "2.5")], by=s.ada, now=NOW
    ),
    "people.actions.staff.describe_laboratory": lambda s: staff.describe_laboratory(
        name="Another name", address="2 Quarry Lane", by=s.desk, expected_version=1
    ),
    "planning.actions.proposing.decline": lambda s: proposing.decline(proposal=s.proposal, by=s.desk),
}

# They touch no row of what a plan is made from: words, figures, papers, files of orders, proposals, ways to sign in.
ELSEWHERE = (
    "attachments.",
    "cases.actions.checklists.",
    "cases.actions.importing.",
    "measurements.actions.clinic.keep_findings",
    "measurements.actions.moulds.",
    "measurements.actions.prescribing.keep_dimensions",
    "measurements.actions.prescribing.prescribe_dimensions",
    "measurements.actions.readings.",
    "measurements.actions.specifying.",
    "measurements.actions.standard.",
    "people.actions.bench_devices.",
    "people.actions.factors.",
    "people.actions.hints.",
    "people.actions.links.",
    "people.actions.lists.",
    "people.actions.sessions.",
    "people.actions.sign_in.",
    "people.actions.staff.add_first_manager",
    "people.actions.staff.add_practice",
    "people.actions.staff.set_password",
    "planning.actions.feeds.",
    "planning.actions.improving.",
    "planning.actions.proposing.",
    "planning.actions.results.",
    "post.",
    "records.",
    "tickets.",
    "upkeep.",
)


def orders(site):
    return {person.pk: bench_order(person, now=NOW) for person in (site.ada, site.ben)}


@pytest.mark.parametrize("name", MOVES)
def test_after_a_move_the_plan_is_the_one_worked_out_anew(site, name, monkeypatch):
    before = read_board(now=NOW)
    with undone():
        MOVES[name](site)
        board, order = read_board(now=NOW), orders(site)
        monkeypatch.setattr(kept, "_shelf", kept.Shelf(kept.worked_out))
        assert board == read_board(now=NOW)
        assert order == orders(site)
        assert board != before
    assert read_board(now=NOW) == before


@pytest.mark.parametrize("name", STAYS)
def test_what_changes_no_plan_leaves_the_kept_one(site, name):
    before = kept.outlook(now=NOW)
    with undone():
        STAYS[name](site)
        assert kept.outlook(now=NOW) is before


def test_every_act_is_walked_through_or_known_to_touch_nothing_of_a_plan():
    known = {*MOVES, *STAYS}
    missing = [name for name, _ in acts() if name not in known and not name.startswith(ELSEWHERE)]
    assert missing == []


def test_a_plan_is_kept_for_five_minutes_and_worked_out_for_the_moment_they_began(site):
    second = datetime.timedelta(seconds=1)
    first = kept.outlook(now=NOW)
    assert kept.outlook(now=NOW + 299 * second) is first
    later = kept.outlook(now=NOW + 300 * second)
    assert later is not first
    assert later.load.problem.now == NOW + 300 * second
    assert kept.full_step(NOW - second) == NOW - 300 * second


def test_two_processes_that_keep_a_plan_each_say_the_same(site):
    basis = read_basis(now=NOW)
    one, two = (
        kept.Shelf(kept.worked_out).get((basis, kept.full_step(at), 10))
        for at in (NOW, NOW + datetime.timedelta(minutes=2))
    )
    assert one is not two
    assert one.plan.placements == two.plan.placements
    assert one.explanations == two.explanations


def test_nothing_is_read_of_a_plan_beside_what_it_is_kept_by(site, django_assert_num_queries):
    basis = read_basis(now=NOW)
    with django_assert_num_queries(0):
        assert kept.worked_out(basis, NOW).explanations
