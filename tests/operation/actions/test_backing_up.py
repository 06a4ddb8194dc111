"""A backup is one moment of the database, whatever is written meanwhile, and never half a file."""

import os
import stat
import threading

import pytest
from django.db import connection
from django.utils import timezone

from labcases.cases.models import Case, Event, NumberSeries, Stage
from labcases.measurements.models import PrescribedDimension, Reading
from labcases.operation.actions import backing_up
from labcases.operation.actions.backing_up import write_backup
from labcases.operation.actions.restoring import restore_backup
from labcases.operation.archive.reading import opened
from labcases.operation.archive.writing import ArchiveWriter
from labcases.operation.refusals import ArchiveRefused, DatabaseRefused
from tests.factories.cases import taken_in_case
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory, PracticeFactory
from tests.operation.databases import empty_database, kept_models, rows_of
from tests.reliability.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)

OF_A_CASE = (Stage, Event, PrescribedDimension, Reading)


@pytest.fixture
def intake():
    """An act that takes in one more case: rows of several tables in one transaction."""
    LaboratoryFactory()
    prescriber, manager = ClinicianFactory(), ManagerFactory()
    return lambda: taken_in_case(prescriber=prescriber, by=manager)


def restored(path, alias):
    with opened(path) as archive:
        restore_backup(archive, using=alias)
    return alias


def assert_whole_cases(alias) -> int:
    """Every case is there with all that its intake wrote, and the running number agrees; how many there are."""
    cases, numbers = zip(*Case.objects.using(alias).values_list("pk", "number"), strict=True)
    assert NumberSeries.objects.using(alias).get().last == max(
        int(number.split("-")[1]) for number in numbers
    )
    for model in OF_A_CASE:
        of_these = model._base_manager.filter(case__in=cases).order_by("pk").values_list()
        assert list(model._base_manager.using(alias).order_by("pk").values_list()) == list(of_these)
    return len(cases)


def test_backups_under_load_hold_whole_cases_only(intake, tmp_path):
    backups, done = [], threading.Event()

    def take_in_cases():
        # A breath between two cases: SQLite gives its one lock to whoever asks first, and never to a queue.
        count = 0
        while not done.wait(0.05):
            intake()
            count += 1
        return count

    def back_up():
        try:
            for number in range(3):
                intake()
                backups.append(tmp_path / f"{number}.zip")
                write_backup(backups[-1], now=timezone.now())
        finally:
            done.set()

    *taken, failure = at_once(take_in_cases, take_in_cases, back_up)
    assert failure is None
    assert min(taken) > 0
    counts = []
    for path in backups:
        with empty_database("sqlite", folder=tmp_path) as alias:
            counts.append(assert_whole_cases(restored(path, alias)))
    assert counts == sorted(set(counts))
    assert counts[-1] <= Case.objects.count() == sum(taken) + len(backups)


def test_what_is_written_after_the_backup_began_is_in_none_of_its_tables(intake, tmp_path, monkeypatch):
    before, path, add = intake(), tmp_path / "b.zip", ArchiveWriter.add

    def add_while_a_case_is_taken_in(self, label, **table):
        (taken,) = at_once(intake)
        assert isinstance(taken, Case)
        add(self, label, **table)

    monkeypatch.setattr(ArchiveWriter, "add", add_while_a_case_is_taken_in)
    write_backup(path, now=timezone.now())
    assert Case.objects.count() == 1 + len(kept_models())
    with empty_database("sqlite", folder=tmp_path) as alias:
        assert assert_whole_cases(restored(path, alias)) == 1
        assert Case.objects.using(alias).get() == before


def test_a_backup_is_for_its_owner_alone_and_leaves_nothing_beside_it(intake, tmp_path):
    intake()
    before = os.umask(0)
    try:
        write_backup(tmp_path / "b.zip", now=timezone.now())
    finally:
        os.umask(before)
    assert [each.name for each in tmp_path.iterdir()] == ["b.zip"]
    assert stat.S_IMODE((tmp_path / "b.zip").stat().st_mode) == 0o600


def test_a_file_that_exists_is_left_as_it_is(tmp_path):
    path = tmp_path / "b.zip"
    path.write_bytes(b"of yesterday")
    with pytest.raises(ArchiveRefused, match="exists already"):
        write_backup(path, now=timezone.now())
    assert path.read_bytes() == b"of yesterday"
    (tmp_path / "nowhere.zip").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(ArchiveRefused, match="exists already"):
        write_backup(tmp_path / "nowhere.zip", now=timezone.now())


def test_a_file_that_appears_meanwhile_is_left_as_it_is(tmp_path, monkeypatch):
    path = tmp_path / "b.zip"
    monkeypatch.setattr(backing_up, "verify_backup", lambda part: path.write_bytes(b"somebody else's"))
    with pytest.raises(ArchiveRefused, match="exists already"):
        write_backup(path, now=timezone.now())
    assert path.read_bytes() == b"somebody else's"
    assert [each.name for each in tmp_path.iterdir()] == ["b.zip"]


def test_a_backup_that_does_not_read_back_gets_no_name(tmp_path, monkeypatch):
    def damaged(self, **words):
        finish(self, **words)
        self.file.seek(40)
        self.file.write(b"\0\1\2")

    finish = ArchiveWriter.finish
    monkeypatch.setattr(ArchiveWriter, "finish", damaged)
    with pytest.raises(ArchiveRefused, match="damaged"):
        write_backup(tmp_path / "b.zip", now=timezone.now())
    assert list(tmp_path.iterdir()) == []


def test_where_nothing_can_be_written_one_sentence_says_so(tmp_path):
    with pytest.raises(ArchiveRefused, match="can't be written: No such file"):
        write_backup(tmp_path / "nowhere" / "b.zip", now=timezone.now())


def test_a_database_without_tables_has_nothing_to_back_up(tmp_path):
    with (
        empty_database("sqlite", folder=tmp_path) as alias,
        pytest.raises(DatabaseRefused, match="no tables"),
    ):
        write_backup(tmp_path / "b.zip", now=timezone.now(), using=alias)


def test_a_database_of_a_later_program_is_refused_by_the_name_of_its_migration(tmp_path):
    from django.db.migrations.recorder import MigrationRecorder

    recorder = MigrationRecorder(connection)
    recorder.record_applied("people", "9999_later")
    try:
        with pytest.raises(DatabaseRefused, match="people 9999_later"):
            write_backup(tmp_path / "b.zip", now=timezone.now())
    finally:
        recorder.record_unapplied("people", "9999_later")
    assert list(tmp_path.iterdir()) == []


def test_a_backup_changes_no_row(intake, tmp_path):
    PracticeFactory(name="Señora Ünlü’s practice 😀")
    intake()
    before = rows_of("default")
    write_backup(tmp_path / "b.zip", now=timezone.now())
    assert rows_of("default") == before
