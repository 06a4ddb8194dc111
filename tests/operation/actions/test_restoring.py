"""What was backed up comes back whole: on either database, from every landed schema, or not at all."""

import contextlib
import datetime
import functools
import io
from decimal import Decimal

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connections
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.test import Client
from django.utils import timezone

from labcases.cases.choices import StageKind
from labcases.cases.models import Case, Event
from labcases.operation.actions import restoring
from labcases.operation.actions.backing_up import write_backup
from labcases.operation.actions.restoring import restore_backup
from labcases.operation.archive.reading import opened
from labcases.operation.landed import LandedState, landed_in
from labcases.operation.refusals import ArchiveRefused, DatabaseRefused
from labcases.people.models import Practice, User
from labcases.planning.models import Proposal
from labcases.records.checking import check
from labcases.tickets.actions import issue_ticket
from labcases.tickets.models import WorkTicket
from tests.factories.cases import EventFactory, taken_in_case
from tests.factories.measurements import ReadingFactory
from tests.factories.people import PASSWORD, ManagerFactory, PracticeFactory
from tests.factories.planning import ProposalFactory
from tests.factories.tickets import WorkTicketFactory
from tests.operation import archives
from tests.operation.databases import (
    ENGINES,
    HERE,
    copied_database,
    empty_database,
    fill_every_table,
    kept_models,
    migrated_once,
    rows_of,
    tables,
)
from tests.tools.triggers import triggers_down

pytestmark = pytest.mark.django_db(transaction=True)

ODD_TEXT = "Zähne 歯 😀 \u200f‮ “'\"\\ \t\r\n end "
ODD_JSON = {"": [None, True, -0.5, 10**18, "ü\u2028"], "b": {"a": {}}, "a": [], "1e5": 100000}
EACH_BYTE = bytes(range(256))


@pytest.fixture
def full_database():
    """A row in every table, and values that are easily lost on the way."""
    fill_every_table()
    PracticeFactory(name=ODD_TEXT.strip(), address=ODD_TEXT)
    EventFactory(
        before=ODD_JSON,
        after={},
        reason=ODD_TEXT,
        at=datetime.datetime(2026, 10, 25, 1, 30, 0, 1, tzinfo=datetime.UTC),
    )
    first = ReadingFactory(value=Decimal("-0.125"), uncertainty=Decimal("0.0001"))
    ReadingFactory(case=first.case, stage=first.stage, supersedes=first, reason="read again")
    WorkTicketFactory(pdf=EACH_BYTE)
    WorkTicketFactory(pdf=b"")
    ProposalFactory(progress_seconds=0.1 + 0.2)
    case = Case.objects.exclude(stages=None).first()
    Case.objects.filter(pk=case.pk).update(current_stage=case.stages.first())


@pytest.fixture(scope="module")
def originals(django_db_setup, django_db_blocker, tmp_path_factory):
    """`originals(engine)` names a migrated database, made when it is first asked for."""
    folder = tmp_path_factory.mktemp("originals")
    with django_db_blocker.unblock(), contextlib.ExitStack() as stack:
        yield functools.cache(lambda engine: stack.enter_context(migrated_once(engine, folder=folder)))


@pytest.fixture
def ready_database(originals, tmp_path):
    """`ready_database(engine)` makes a database that is up to date and holds no row of anybody's."""
    return lambda engine: copied_database(engine, originals(engine), folder=tmp_path)


@pytest.fixture
def backup(tmp_path):
    """Back up a database into a new file and return its path."""

    def write(alias="default"):
        path = tmp_path / f"{len(list(tmp_path.iterdir()))}.zip"
        write_backup(path, now=timezone.now(), using=alias)
        return path

    return write


def restore(path, alias, **how):
    with opened(path) as archive:
        restore_backup(archive, using=alias, **how)


def bytes_restored(content, folder, alias, **how):
    path = folder / "tried.zip"
    path.write_bytes(content)
    restore(path, alias, **how)


@pytest.mark.parametrize("ready", [False, True], ids=["without tables", "migrated"])
@pytest.mark.parametrize("engine", ENGINES)
def test_every_table_comes_back_equal_there_and_back_again(
    engine, ready, full_database, backup, ready_database, tmp_path
):
    before = rows_of("default")
    assert all(before[m._meta.label_lower] for m in kept_models() if m.__module__.startswith("labcases."))
    with (
        ready_database(engine) if ready else empty_database(engine, folder=tmp_path) as there,
        ready_database(ENGINES[-1]) as back,
    ):
        restore(backup(), there)
        assert rows_of(there) == before
        restore(backup(there), back)
        assert rows_of(back) == before
        for alias in (there, back):
            assert landed_in(connections[alias]) == landed_in(connections["default"])
            assert WorkTicket.objects.using(alias).filter(pdf=EACH_BYTE).exists()
            assert Proposal.objects.using(alias).filter(progress_seconds=0.1 + 0.2).exists()


@pytest.mark.parametrize("engine", HERE)
def test_the_next_row_takes_a_key_that_is_free(engine, full_database, backup, ready_database):
    with ready_database(engine) as alias:
        restore(backup(), alias)
        taken = set(Practice.objects.using(alias).values_list("pk", flat=True))
        new = Practice.objects.using(alias).create(code="NEW", name="New practice")
        assert new.pk not in taken


def test_a_restored_site_lets_people_in_and_prints_the_same_paper(backup):
    manager = ManagerFactory(username="keeper")
    stage = taken_in_case(by=manager, starts_at=StageKind.CUSTOM_TRAY).stages.get(kind=StageKind.CUSTOM_TRAY)
    ticket = issue_ticket(stage=stage, by=manager, now=timezone.now())
    case, paper, path = stage.case, bytes(ticket.pdf), backup()
    call_command("flush", interactive=False, verbosity=0)
    assert not User.objects.exists()
    restore(path, "default")
    browser = Client()
    answer = browser.post("/sign-in", {"username": "keeper", "password": PASSWORD}, follow=True)
    assert answer.status_code == 200
    assert answer.context["user"] == manager
    assert case.number in browser.get(f"/office/cases/{case.number}").text
    assert check(case).is_sound
    again = issue_ticket(stage=stage, by=manager, now=timezone.now())
    assert bytes(again.pdf) == paper
    assert again.code == ticket.code


def test_nobody_is_still_signed_in_after_a_restore(backup):
    browser = Client()
    browser.force_login(ManagerFactory())
    assert browser.get("/office/today").status_code == 200
    path = backup()
    call_command("flush", interactive=False, verbosity=0)
    restore(path, "default")
    assert User.objects.exists()
    assert browser.get("/office/today").status_code == 302


@pytest.mark.parametrize("engine", HERE)
def test_a_database_that_holds_rows_is_refused_and_left_alone(engine, full_database, backup, ready_database):
    path = backup()
    with ready_database(engine) as alias:
        Practice.objects.using(alias).create(code="KEEP", name="Kept")
        before = rows_of(alias)
        with pytest.raises(DatabaseRefused, match=r"not empty \(1 rows\)"):
            restore(path, alias)
        assert rows_of(alias) == before


@pytest.mark.parametrize("engine", HERE)
def test_to_replace_is_to_lose_what_was_there(engine, full_database, backup, ready_database):
    before, path = rows_of("default"), backup()
    with ready_database(engine) as alias:
        restore(path, alias)
        Practice.objects.using(alias).create(code="GONE", name="Gone")
        with triggers_down(alias):
            Event.objects.using(alias).all().delete()
        restore(path, alias, replace=True)
        assert rows_of(alias) == before


def dangling(archive: bytes) -> bytes:
    """A backup whose practices are gone and whose cases still point to them."""
    return archives.with_table(archive, "people.practice", b"")


def wrongly_signed(archive: bytes) -> bytes:
    """A backup in which a row breaks a rule of its table: a second laboratory."""
    lines = archives.members_of(archive)["tables/people.laboratory.jsonl"]
    return archives.with_table(archive, "people.laboratory", lines + lines.replace(b"[1,", b"[2,"))


@pytest.mark.parametrize(("fault", "replace"), [(dangling, False), (wrongly_signed, False), (dangling, True)])
@pytest.mark.parametrize("engine", HERE)
def test_what_fails_half_way_changes_nothing(
    engine, fault, replace, full_database, backup, ready_database, tmp_path
):
    path = backup()
    with ready_database(engine) if replace else empty_database(engine, folder=tmp_path) as alias:
        if replace:
            restore(path, alias)
        before = rows_of(alias) if replace else tables(alias)
        with pytest.raises(Exception, match=r"(?i)foreign key|there_is_one_laboratory"):
            bytes_restored(fault(path.read_bytes()), tmp_path, alias, replace=replace)
        assert (rows_of(alias) if replace else tables(alias)) == before


def test_a_row_that_comes_back_as_another_ends_it(full_database, backup, ready_database, monkeypatch):
    path, values = backup(), restoring._values

    def changed(fields, row):
        found = values(fields, row)
        return {**found, "reason": "another"} if "reason" in found and "act" in found else found

    monkeypatch.setattr(restoring, "_values", changed)
    with ready_database("sqlite") as alias:
        before = rows_of(alias)
        with pytest.raises(DatabaseRefused, match=r"Row \d+ of cases.event came back"):
            restore(path, alias)
        assert rows_of(alias) == before


def test_an_archive_that_does_not_fit_is_refused_before_anything_is_touched(full_database, backup, tmp_path):
    archive = archives.with_manifest(
        backup().read_bytes(), lambda manifest: manifest["migrations"]["people"].append("9999_later")
    )
    with empty_database("sqlite", folder=tmp_path) as alias:
        with pytest.raises(ArchiveRefused, match="people 9999_later"):
            bytes_restored(archive, tmp_path, alias)
        assert tables(alias) == []


def landed_states() -> list[list[tuple[str, str]]]:
    """The database after each of our migrations in turn, from the one that first has people on."""
    graph, done, states = MigrationLoader(None).graph, [], []
    for leaf in sorted(graph.leaf_nodes()):
        for node in graph.forwards_plan(leaf):
            if node not in done:
                done.append(node)
                if ("people", "0001_people_and_practices") in done and node[0] in OURS:
                    states.append(list(done))
    return states


OURS = {model._meta.app_label for model in kept_models() if model.__module__.startswith("labcases.")}
STATES = landed_states()
# The first, one in the middle and the last but one in every run; all of them in the long form.
CHOSEN = {0, len(STATES) - 2}


@pytest.mark.parametrize(
    "number",
    [pytest.param(n, marks=[] if n in CHOSEN else [pytest.mark.full]) for n in range(len(STATES) - 1)],
)
@pytest.mark.parametrize("engine", HERE)
def test_an_archive_of_an_earlier_schema_is_brought_up_to_date(engine, number, backup, tmp_path):
    then = LandedState(frozenset(STATES[number]))
    with (
        empty_database(engine, folder=tmp_path) as early,
        empty_database("sqlite", folder=tmp_path) as late,
    ):
        MigrationExecutor(connections[early]).migrate(then.last)
        models = then.models
        practice = models["people.practice"].objects.using(early).create(code="EARLY", name="Early practice")
        models["people.user"].objects.using(early).create(
            username="early", display_name="Early", role="clinician", practice=practice, password="!"
        )
        restore(backup(early), late)
        assert landed_in(connections[late]) == landed_in(connections["default"])
        person = User.objects.using(late).get()
        assert (person.username, person.practice.code) == ("early", "EARLY")
        for label in ("people.practice", "people.user"):
            before = list(models[label].objects.using(early).order_by("pk").values())
            after = apps.get_model(label).objects.using(late).order_by("pk").values(*before[0])
            assert list(after) == before


def test_an_archive_of_an_earlier_schema_goes_into_a_database_that_is_up_to_date(
    backup, ready_database, tmp_path
):
    then = LandedState(frozenset(STATES[0]))
    with (
        empty_database("sqlite", folder=tmp_path) as early,
        ready_database(ENGINES[-1]) as late,
    ):
        MigrationExecutor(connections[early]).migrate(then.last)
        then.models["people.practice"].objects.using(early).create(code="EARLY", name="Early practice")
        restore(backup(early), late)
        assert Practice.objects.using(late).get().code == "EARLY"
        assert landed_in(connections[late]) == landed_in(connections["default"])


def test_the_commands_end_with_one_line(full_database, ready_database, tmp_path):
    path, said = tmp_path / "b.zip", io.StringIO()
    call_command("backup", str(path), stdout=said)
    call_command("verify_backup", str(path), stdout=said)
    with ready_database("sqlite") as alias:
        call_command("restore", str(path), database=alias, stdout=said)
    assert [line.rpartition("; ")[2] for line in said.getvalue().splitlines()] == [
        "read back and sound",
        "sound",
        "restored",
    ]
