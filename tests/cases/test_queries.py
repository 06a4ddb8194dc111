"""Reads of cases: by typed number, by filters, with a count of queries that no number of rows changes."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from labcases.cases import queries
from labcases.cases.actions.assigning import assign
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import Act, ReturnCause, StageKind
from labcases.cases.models import Case
from labcases.cases.numbers import CaseNumberError
from tests.cases.walking import current, receive, start, walk_to, walk_to_the_end
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)
TODAY = NOW.date()


@pytest.fixture
def manager():
    return ManagerFactory()


def test_a_typed_number_finds_its_case(manager):
    case = taken_in_case()
    for typed in (case.number, case.number.replace("-", "").lower(), f" {case.number} "):
        assert queries.case_by_number(manager, typed) == case


def test_a_number_of_another_practice_is_as_unknown_as_one_that_does_not_exist(manager):
    mine, theirs = taken_in_case(), taken_in_case()
    user = mine.prescriber
    assert queries.case_by_number(user, mine.number) == mine
    with pytest.raises(Case.DoesNotExist):
        queries.case_by_number(user, theirs.number)
    number = theirs.number
    Case.objects.filter(pk=theirs.pk).update(number="00-00000-0")
    with pytest.raises(Case.DoesNotExist):
        queries.case_by_number(user, number)


def test_a_mistyped_number_says_so_whoever_types_it(manager):
    case = taken_in_case()
    wrong = case.number[:-1] + ("A" if case.number[-1] != "A" else "B")
    for user in (manager, case.prescriber):
        with pytest.raises(CaseNumberError, match="mistyped"):
            queries.case_by_number(user, wrong)


def test_an_empty_filter_filters_nothing_but_what_is_closed(manager):
    open_case, cancelled, complete = taken_in_case(), taken_in_case(), taken_in_case()
    cancel_case(case=cancelled, by=manager, reason="Moved", expected_version=cancelled.version, now=NOW)
    walk_to_the_end(complete, manager)
    assert list(queries.find_cases(manager, today=TODAY)) == [open_case]
    assert list(queries.find_cases(manager, today=TODAY, state="complete")) == [complete]
    assert set(queries.find_cases(manager, today=TODAY, state="all")) == {open_case, cancelled, complete}


def test_late_cases_are_found_by_their_filter(manager):
    case = taken_in_case()
    due = current(case).due_on
    assert list(queries.find_cases(manager, today=due + DAY, late=True)) == [case]
    assert list(queries.find_cases(manager, today=due, late=True)) == []


def test_the_bench_sees_only_what_can_be_worked_on(manager):
    here = taken_in_case(starts_at=StageKind.OCCLUSION_RIMS)
    taken_in_case(starts_at=StageKind.OCCLUSION_RIMS)
    receive(here, manager)
    assert list(queries.bench_stages(manager)) == [current(here)]
    assert list(queries.bench_stages(here.prescriber)) == [current(here)]
    assert not queries.bench_stages(taken_in_case().prescriber).exists()


def test_stages_are_given_out_as_the_manager_saw_them(manager):
    mine, theirs = current(taken_in_case()), current(taken_in_case())
    assert dict(queries.stages_seen(manager, {mine.pk: 3, theirs.pk: 1, 0: 1})) == {mine: 3, theirs: 1}
    assert queries.stages_seen(mine.case.prescriber, {mine.pk: 3, theirs.pk: 1}) == [(mine, 3)]


def test_the_log_is_read_newest_first(manager):
    case = taken_in_case()
    receive(case, manager, now=NOW + DAY)
    acts = [event.act for event in queries.events_of(case)]
    assert acts[0] == Act.RECEIVED
    assert acts[-1] == Act.OPENED
    stage = start(current(case), manager, now=NOW + DAY)
    assert queries.last_event(stage).act == Act.STARTED


def test_the_stages_of_a_case_stand_in_path_order_also_after_a_return(manager):
    case = taken_in_case(starts_at=StageKind.OCCLUSION_RIMS)
    stage = walk_to(case, StageKind.TRY_IN, manager)
    to = queries.stages_to_return_to(stage.case)[0]
    send_back(
        stage=stage,
        to=to,
        cause=ReturnCause.MIDLINE,
        note="",
        by=manager,
        expected_version=stage.version,
        now=NOW,
    )
    case.refresh_from_db()
    in_order = [(each.kind, each.visit) for each in queries.stages_of(case)]
    assert in_order[-5:] == [
        ("try_in", 1),
        ("tooth_arrangement", 2),
        ("try_in", 2),
        ("processing", 1),
        ("insertion", 1),
    ]
    assert [(each.kind, each.visit) for each in queries.with_stages(case).stages.all()] == in_order
    (back,) = queries.returns_of(case)
    assert (back.from_stage, back.to_stage) == (stage, to)


# ---- counts of queries ----


def some_cases(manager, count):
    for n in range(count):
        case = taken_in_case(starts_at=StageKind.OCCLUSION_RIMS)
        receive(case, manager)
        assign(stages=[(current(case), 1)], to=TechnicianFactory(), by=manager, now=NOW)
        if n % 2:
            start(current(case), manager)


READS = {
    "all cases": lambda user: [
        (str(case.practice), str(case.prescriber), str(case.current_stage.assignee), case.current_stage.label)
        for case in queries.cases_for(user)
    ],
    "found cases": lambda user: [
        (case.practice.name, case.current_stage.label)
        for case in queries.find_cases(user, today=TODAY, text="P-1")
    ],
    "decisions": lambda user: [
        (case.practice.name, len(case.returns.all()), len(case.stages.all()))
        for case in queries.cases_to_decide(user, today=TODAY + 90 * DAY, soon=TODAY + 91 * DAY)
    ],
    "bench": lambda user: [
        (str(stage), str(stage.case.practice), str(stage.assignee), stage.return_cause)
        for stage in queries.bench_stages(user)
    ],
    "log of all": lambda user: [
        (str(event.by), str(event.stage))
        for case in Case.objects.all()[:1]
        for event in queries.events_of(case)
    ],
}


@pytest.mark.parametrize("read", READS.values(), ids=READS)
def test_three_rows_take_as_many_queries_as_one(manager, read, django_assert_num_queries):
    some_cases(manager, 1)
    with CaptureQueriesContext(connection) as one:
        rows = len(read(manager))
    assert rows
    some_cases(manager, 2)
    with django_assert_num_queries(len(one)):
        read(manager)
    assert len(one) <= 4
