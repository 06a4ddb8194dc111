import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from labcases.cases.actions.moves import start_stage
from labcases.cases.choices import StageKind, StageState
from labcases.planning.actions.giving import give, weigh_case
from labcases.planning.models import PlannedWork
from labcases.planning.queries.load import read_load
from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.times import USUAL_TIMES
from labcases.planning.working_time import Opening
from tests.factories.cases import taken_in_case
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.factories.planning import (
    AbsenceFactory,
    CollectionDayFactory,
    OpeningHoursFactory,
    PersonSkillFactory,
    TransportFactory,
)
from tests.planning.laboratory import NOW, at, case_here, skilled, stage
from tests.planning.scheduling.checking import complaints

pytestmark = pytest.mark.django_db


def legs(**more):
    return list(read_load(now=NOW, **more).legs.values())


def test_a_case_becomes_one_job_for_each_way_to_the_clinic():
    """Taken in on 2 March with visits wanted on the 9th, 16th, 23rd and 30th; ten days reach to the 13th."""
    case = case_here()
    tray, bench, *_ = legs()
    assert [work.key for work in tray.job.works] == [stage(case, "custom_tray").pk]
    assert (tray.wanted_on, tray.job.due) == (datetime.date(2026, 3, 9), at(6, 16, 30))
    assert tray.job.release == NOW
    assert [made.kind for made in bench.stages] == ["master_cast", "record_base", "occlusion_rims"]
    assert (bench.job.release, bench.job.due) == (at(10, 8), at(13, 16, 30))
    assert len(legs()) == 2
    assert len(legs(days=20)) == 4


def test_work_on_its_way_can_begin_the_next_morning():
    taken_in_case(now=NOW)
    assert legs()[0].job.release == at(3, 8)


def test_an_incomplete_case_is_not_planned():
    taken_in_case(now=NOW, sign=False)
    assert legs() == []


def test_stages_after_a_visit_without_a_day_are_named_as_having_no_start():
    case = case_here()
    case.stages.filter(kind=StageKind.DEFINITIVE_IMPRESSIONS).update(due_on=None)
    load = read_load(now=NOW)
    assert [made.kind for _, made in load.unplanned] == ["master_cast", "record_base", "occlusion_rims"]


def test_the_practice_s_collections_set_the_hour():
    case = case_here()
    row = TransportFactory(practice=case.practice, transit_days=1)
    CollectionDayFactory(transport=row, weekday=2, cut_off=datetime.time(11))
    assert legs()[0].job.due == at(4, 11)


def test_one_arch_takes_less():
    both, one = case_here(), case_here(arches="maxillary")
    minutes = {leg.case.pk: leg.job.minutes for leg in legs() if leg.job.release == NOW}
    assert minutes[both.pk] == USUAL_TIMES["custom_tray"].hands
    assert minutes[one.pk] == round(25 * 0.6) + round(60 * 0.6)


def test_weights_are_the_manager_s_or_the_kind_s():
    plain, heavy, immediate = case_here(), case_here(), case_here(kind="immediate")
    weigh_case(case=heavy, weight=7, by=ManagerFactory(), now=NOW)
    found = {leg.case.pk: leg.job.weight for leg in legs()}
    assert (found[plain.pk], found[heavy.pk], found[immediate.pk]) == (1, 7, 3)


def test_people_are_those_at_the_bench():
    everything = TechnicianFactory()
    special = skilled("arrangement")
    TechnicianFactory(is_active=False)
    ManagerFactory()
    at_bench = ManagerFactory()
    PersonSkillFactory(person=at_bench, skill="processing")
    people = {person.key: person for person in read_load(now=NOW).problem.people}
    assert set(people) == {everything.pk, special.pk, at_bench.pk}
    assert people[everything.pk].skills is None
    assert people[special.pk].skills == {"arrangement"}
    assert people[at_bench.pk].skills == {"processing"}


def test_a_person_s_hours_and_absences_are_their_own():
    monday = datetime.date(2026, 3, 2)
    away, part_time, other = TechnicianFactory.create_batch(3)
    hours = {"from_time": datetime.time(8), "until_time": datetime.time(10)}
    AbsenceFactory(person=away, first_day=monday, last_day=monday)
    AbsenceFactory(person=other, first_day=monday, last_day=monday, **hours)
    OpeningHoursFactory(person=part_time, weekday=2)
    found = {person.key: person.calendar for person in read_load(now=NOW).problem.people}
    assert not found[away.pk].is_working_day(monday)
    assert found[part_time.pk].week.mask == (False, False, True, False, False, False, False)
    assert found[other.pk].openings_on(monday)[0] == Opening(600, 720)


def given(case, *, to, pinned=True, planned_on=None, kind="custom_tray"):
    made = stage(case, kind)
    give(
        stages=[(made, made.version)],
        to=to,
        by=ManagerFactory(),
        now=NOW,
        pinned=pinned,
        planned_on=planned_on,
    )
    return made


def work_of(made, **more):
    works = {work.key: work for leg in legs(**more) for work in leg.job.works}
    return works[made.pk]


def test_work_given_by_hand_stays_with_its_person_and_day():
    person = TechnicianFactory()
    made = given(case_here(), to=person, planned_on=datetime.date(2026, 3, 4))
    work = work_of(made)
    assert (work.fixed_to, work.not_before) == (person.pk, at(4, 0))


def test_work_given_by_a_proposal_may_move_but_is_shown_where_it_is():
    person = TechnicianFactory()
    made = given(case_here(), to=person, pinned=False)
    assert work_of(made).fixed_to is None
    assert work_of(made, as_given=True).fixed_to == person.pk


def test_work_given_to_somebody_else_meanwhile_is_not_what_was_planned():
    person, other = TechnicianFactory.create_batch(2)
    made = given(case_here(), to=person, pinned=False)
    type(made).objects.filter(pk=made.pk).update(assignee=other)
    assert PlannedWork.objects.count() == 1
    assert work_of(made).fixed_to == other.pk


@pytest.mark.parametrize(
    ("started", "pieces", "resumes"),
    [
        (at(2, 9), [(25, 45), (60, 0)], None),
        (at(2, 8, 50), [(15, 45), (60, 0)], None),
        (at(2, 8, 20), [(60, 0)], at(2, 9, 30)),
        (at(2, 8), [(60, 0)], at(2, 9, 10)),
        (at(-2, 8), [(5, 0)], None),
    ],
)
def test_begun_work_needs_what_is_left_of_it(started, pieces, resumes):
    """A tray: 25 minutes, 45 of setting, 60 minutes. Begun at 8:20, it sets until 9:30; it is 9:00."""
    case = case_here(now=at(-3, 9))
    by = case.opened_by
    made = stage(case, "custom_tray")
    start_stage(stage=made, by=by, expected_version=made.version, now=started)
    work = work_of(made)
    assert work.begun
    assert work.fixed_to == by.pk
    assert [(piece.minutes, piece.wait_after) for piece in work.pieces] == pieces
    assert work.not_before == resumes


def test_a_plan_of_the_whole_laboratory_keeps_every_rule():
    for _ in range(4):
        case_here()
    case_here(kind="reline", starts_at=StageKind.RELINE)
    skilled("casts_and_trays", "bases_and_rims")
    skilled("arrangement", "processing", "relines_and_repairs")
    plan = earliest_due_first(read_load(now=NOW).problem)
    assert complaints(plan) == []
    assert not plan.stuck


def test_finished_stages_are_not_planned_again():
    case = case_here()
    case.stages.filter(kind="custom_tray").update(state=StageState.SKIPPED)
    kinds = [made.kind for leg in legs() for made in leg.stages]
    assert "custom_tray" not in kinds


def test_reading_the_load_takes_the_same_queries_for_one_case_and_for_three():
    case_here()
    skilled("arrangement")
    with CaptureQueriesContext(connection) as one:
        read_load(now=NOW)
    case_here()
    case_here()
    skilled("processing")
    with CaptureQueriesContext(connection) as three:
        read_load(now=NOW)
    assert len(one) == len(three) <= 12
