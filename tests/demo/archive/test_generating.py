"""A generated archive is whole: every rule of the tables holds, and every copy is a case that could have been."""

import datetime
from collections import Counter
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.db.models import F, Q

from labcases.cases.actions.moves import start_stage
from labcases.cases.choices import Act, CaseState, StageState
from labcases.cases.models import Case, Event, Stage, Step
from labcases.cases.numbers import parse_case_number
from labcases.demo.archive import generating
from labcases.demo.archive.generating import generate_archive
from labcases.demo.scenario import read_stories
from labcases.measurements.models import Reading
from labcases.people.models import User

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 3, 4, 15, 0, tzinfo=datetime.UTC)
CASES = 120
REACHED = ("waiting", "in_progress", "out")


@pytest.fixture(scope="module")
def archive(django_db_setup, django_db_blocker):
    """One archive for all tests of this file, rolled back after them."""
    with django_db_blocker.unblock(), transaction.atomic(), pytest.MonkeyPatch.context() as patch:
        # As a large one is made, with its indexes and foreign keys taken off and put back.
        patch.setattr(generating, "LARGE", 0)
        stories = [next(story for story in read_stories() if story.reached == reached) for reached in REACHED]
        yield generate_archive(cases=CASES, seed=7, now=NOW, lives=4, stories=stories)
        transaction.set_rollback(True)


def test_it_has_as_many_cases_as_asked_most_of_them_closed(archive):
    states = Counter(Case.objects.values_list("state", flat=True))
    assert archive == sum(states.values()) == CASES
    assert states[CaseState.COMPLETE] > CASES / 2
    assert states[CaseState.OPEN] > 10


def test_every_foreign_key_leads_somewhere(archive):
    connection.check_constraints()
    assert not Case.objects.filter(state=CaseState.OPEN, current_stage=None).exists()
    assert not Stage.objects.filter(pk=F("case__current_stage")).exclude(case_id=F("case__pk")).exists()
    assert not Case.objects.filter(current_stage__isnull=False).exclude(current_stage__case=F("pk")).exists()


def test_every_case_has_a_number_that_fits_and_its_year(archive):
    for number, opened_at in Case.objects.values_list("number", "opened_at"):
        assert parse_case_number(number) == number
        assert number[:2] == f"{opened_at:%y}"


def test_nothing_lies_in_the_future(archive):
    assert not Event.objects.filter(at__gt=NOW).exists()
    assert not Reading.objects.filter(Q(measured_at__gt=NOW) | Q(entered_at__gt=NOW)).exists()
    assert not Stage.objects.filter(finished_at__gt=NOW).exists()


def test_closed_cases_are_finished_and_every_finished_stage_is_in_the_log(archive):
    closed = Stage.objects.filter(case__state=CaseState.COMPLETE)
    assert not closed.exclude(state__in=[StageState.DONE, StageState.RETURNED, StageState.SKIPPED]).exists()
    done = Stage.objects.filter(state=StageState.DONE).count()
    assert Event.objects.filter(act=Act.FINISHED).count() == done > CASES


def test_every_reading_is_in_the_log_and_belongs_to_its_own_case(archive):
    assert Event.objects.filter(act__in=[Act.READING, Act.CORRECTION]).count() == Reading.objects.count()
    assert not Reading.objects.exclude(stage__case=F("case")).exists()
    assert not Event.objects.filter(stage__isnull=False).exclude(stage__case=F("case")).exists()
    lines = Reading.objects.filter(line__isnull=False)
    assert lines.exists()
    assert not lines.exclude(line__specification__case=F("case")).exists()


def test_every_log_is_a_chain_that_holds(archive):
    out = StringIO()
    call_command("verify_records", stdout=out)
    assert f"{CASES}" in out.getvalue()


def test_only_the_newest_have_specifications_and_checklists(archive):
    closed = Case.objects.filter(state=CaseState.COMPLETE, kind="complete").order_by("opened_at")
    oldest, newest = closed.first(), closed.last()
    assert newest.specifications.exists()
    assert Step.objects.filter(stage__case=newest).exists()
    assert not oldest.specifications.exists()
    assert not Step.objects.filter(stage__case=oldest).exists()
    assert oldest.readings.filter(verdict="", line=None).count() == oldest.readings.count() > 10


def test_work_is_spread_over_practices_prescribers_and_technicians(archive):
    assert Case.objects.values("practice").distinct().count() > 20
    assert Stage.objects.exclude(assignee=None).values("assignee").distinct().count() > 20
    prescribed = Case.objects.exclude(prescriber=None)
    assert not prescribed.exclude(prescriber__practice=F("practice")).exists()
    assert not prescribed.filter(signed_by__isnull=False).exclude(signed_by=F("prescriber")).exists()


def test_work_goes_on_in_it(archive):
    """The next rows get keys of their own, and a copied case is moved by the usual actions."""
    stage = Stage.objects.at_bench().filter(state=StageState.WAITING).with_case().latest("pk")
    technician = stage.assignee or User.objects.filter(role="technician").first()
    start_stage(stage=stage, by=technician, expected_version=stage.version, now=NOW)
    stage.refresh_from_db()
    assert stage.state == StageState.IN_PROGRESS
    assert Event.objects.latest("pk").stage_id == stage.pk


def test_indexes_and_foreign_keys_are_as_they_were(archive):
    with connection.cursor() as cursor:
        found = connection.introspection.get_constraints(cursor, Reading._meta.db_table)
    named = {index.name for index in Reading._meta.indexes} | {
        rule.name for rule in Reading._meta.constraints
    }
    assert named <= set(found)
    keys = {tuple(each["columns"]) for each in found.values() if each["foreign_key"]}
    assert {("case_id",), ("stage_id",), ("line_id",), ("by_id",), ("supersedes_id",)} <= keys
