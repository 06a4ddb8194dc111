"""Files travel with the rows that name them: into another storage, equal byte by byte, or not at all."""

import itertools
from contextlib import contextmanager

import pytest
from django.core.management import CommandError, call_command
from django.test import override_settings
from django.utils import timezone

from labcases.attachments.models import Attachment
from labcases.attachments.storage import attachment_storage
from labcases.operation.actions.backing_up import verify_backup, write_backup
from labcases.operation.actions.restoring import restore_backup
from labcases.operation.archive.reading import opened
from labcases.operation.landed import state_of_archive
from labcases.operation.refusals import ArchiveRefused, DatabaseRefused
from labcases.operation.stored_files import places_in_archive, put_back
from tests.factories.attachments import AttachmentFactory, in_storage
from tests.factories.people import ManagerFactory
from tests.operation import archives
from tests.operation.databases import ENGINES, empty_database, tables

pytestmark = pytest.mark.django_db(transaction=True)
SCAN = bytes(range(256)) * 9_000


@pytest.fixture
def folder(tmp_path, settings):
    """A storage of its own for the test; `at(path)` is another one, such as a new machine's."""

    def at(name):
        options = {"location": str(tmp_path / name)}
        return override_settings(
            STORAGES={
                **settings.STORAGES,
                "attachments": {
                    "BACKEND": "django.core.files.storage.FileSystemStorage",
                    "OPTIONS": options,
                },
            }
        )

    with at("here"):
        yield at


@pytest.fixture
def files(folder):
    AttachmentFactory(kind="cast", view="", small="", file=in_storage(SCAN, "stl"), size=len(SCAN))
    AttachmentFactory(
        removed_at=timezone.now(), removed_by=ManagerFactory(), removal_reason="another patient’s"
    )
    return contents()


@pytest.fixture
def backup(files, tmp_path):
    path = tmp_path / "backup.zip"
    write_backup(path, now=timezone.now())
    return path


def contents(using="default") -> dict[str, bytes]:
    rows = Attachment.objects.using(using).values_list("file", "small")
    storage, found = attachment_storage(), {}
    for name in filter(None, itertools.chain.from_iterable(rows)):
        with storage.open(name) as file:
            found[name] = file.read()
    return found


def restore(path, alias):
    with opened(path) as archive:
        restore_backup(archive, using=alias)


@pytest.mark.parametrize("engine", ENGINES)
def test_every_file_comes_back_equal_on_another_machine(engine, files, backup, folder, tmp_path):
    assert len(files) == 3
    assert {file.name for file in verify_backup(backup).files} == files.keys()
    with folder("there"), empty_database(engine, folder=tmp_path) as alias:
        restore(backup, alias)
        assert contents(alias) == files


@contextmanager
def files_put_back(path):
    """As a restore does before it touches the database."""
    with opened(path) as archive:
        places = places_in_archive(archive, state_of_archive(archive.manifest))
        with put_back(archive, places):
            yield


def test_files_that_are_there_already_stay(files, backup):
    with files_put_back(backup):
        assert contents() == files
    with pytest.raises(RuntimeError), files_put_back(backup):
        raise RuntimeError
    assert contents() == files


def test_another_file_under_the_same_name_is_never_written_over(files, backup, folder, tmp_path):
    name = max(files)
    with folder("there"), empty_database("sqlite", folder=tmp_path) as alias:
        place = tmp_path / "there" / name
        place.parent.mkdir(parents=True)
        place.write_bytes(b"something else")
        with pytest.raises(DatabaseRefused, match="holds another file under the name"):
            restore(backup, alias)
        assert tables(alias) == []
        assert [each for each in (tmp_path / "there").rglob("*") if each.is_file()] == [place]
        assert place.read_bytes() == b"something else"


def test_what_fails_after_the_files_takes_them_away_again(files, backup, folder, tmp_path):
    def there():
        return [each for each in (tmp_path / "there").rglob("*") if each.is_file()]

    def fail_after_the_files():
        with files_put_back(backup):
            assert len(there()) == len(files)
            raise RuntimeError

    with folder("there"):
        with pytest.raises(RuntimeError):
            fail_after_the_files()
        assert there() == []


def test_a_file_that_is_missing_is_named_and_no_backup_is_made(files, tmp_path):
    name = min(files)
    attachment_storage().delete(name)
    with pytest.raises(CommandError, match=f"{name} is not in its storage") as raised:
        call_command("backup", str(tmp_path / "b.zip"))
    assert raised.value.returncode == 2
    assert not (tmp_path / "b.zip").exists()


def test_rows_and_files_that_do_not_fit_each_other_are_refused(files, backup):
    whole = backup.read_bytes()
    name = min(files)
    members = archives.members_of(whole)
    del members[f"files/{name}"]
    without = archives.with_manifest(
        archives.packed(members),
        lambda manifest: manifest["files"].remove(
            next(each for each in manifest["files"] if each["file"] == name)
        ),
    )
    for archive in (without, archives.with_table(whole, "attachments.attachment", b"")):
        backup.write_bytes(archive)
        with pytest.raises(ArchiveRefused, match="do not fit each other"):
            verify_backup(backup)


def test_a_file_whose_bytes_were_changed_is_refused(files, backup):
    members = archives.members_of(backup.read_bytes())
    name = f"files/{max(files)}"
    members[name] = members[name][:-1] + bytes([members[name][-1] ^ 1])
    backup.write_bytes(archives.packed(members))
    with pytest.raises(ArchiveRefused, match="is not the one its manifest describes"):
        verify_backup(backup)


def test_an_archive_of_the_time_before_files_is_still_read(tmp_path):
    path = tmp_path / "old.zip"
    ManagerFactory()
    write_backup(path, now=timezone.now())

    def older(manifest):
        del manifest["files"]
        manifest["version"] = 1

    path.write_bytes(archives.with_manifest(path.read_bytes(), older))
    assert verify_backup(path).files == ()
