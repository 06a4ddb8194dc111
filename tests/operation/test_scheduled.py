import datetime

import pytest
from django.core.management import CommandError, call_command
from django_tasks_db.models import DBTaskResult

from labcases.operation import scheduled, tasks
from labcases.operation.actions.backing_up import verify_backup
from labcases.operation.refusals import ArchiveRefused
from labcases.operation.scheduled import back_up_if_due, name_at, see_to_the_night
from labcases.operation.working import LabWorker
from labcases.people.models import OneTimeKey
from labcases.upkeep.models import Backup
from tests.factories.cases import NOW, CaseFactory
from tests.factories.people import OneTimeKeyFactory

DAY = datetime.timedelta(days=1)


@pytest.fixture
def folder(settings, tmp_path):
    settings.BACKUP_FOLDER = str(tmp_path / "backups")
    settings.BACKUPS_DAILY, settings.BACKUPS_WEEKLY, settings.BACKUPS_MONTHLY = 2, 0, 0
    return tmp_path / "backups"


def names(folder):
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.django_db(transaction=True)
def test_a_due_backup_is_made_verified_and_noted_once_a_day(folder):
    CaseFactory()
    made = back_up_if_due(now=NOW)
    assert verify_backup(made.path).rows == made.row_count
    assert (folder.stat().st_mode & 0o777, made.path.stat().st_mode & 0o777) == (0o700, 0o600)
    noted = Backup.objects.get()
    assert (noted.file_name, noted.row_count) == (made.path.name, made.row_count)
    assert noted.verified_at
    assert noted.size == made.path.stat().st_size
    assert back_up_if_due(now=NOW) is None


@pytest.mark.django_db
def test_older_backups_make_room_and_other_files_stay(folder):
    folder.mkdir()
    for name in ("mine.zip", "labcases-99999999T999999Z.zip", *(name_at(NOW - n * DAY) for n in range(4))):
        (folder / name).write_text("")
    Backup.objects.create(day=NOW - 3 * DAY, started_at=NOW, file_name=name_at(NOW - 3 * DAY))
    gone = scheduled.let_go(folder, now=NOW)
    assert gone == (name_at(NOW - 3 * DAY), name_at(NOW - 2 * DAY))
    assert set(names(folder)) == {
        "mine.zip",
        "labcases-99999999T999999Z.zip",
        name_at(NOW),
        name_at(NOW - DAY),
    }
    assert Backup.objects.get().removed_at == NOW


@pytest.mark.django_db(transaction=True)
def test_a_backup_that_fails_is_noted_with_its_reason_and_leaves_the_older_ones(folder, monkeypatch):
    folder.mkdir()
    for n in range(1, 5):
        (folder / name_at(NOW - n * DAY)).write_text("")
    before = names(folder)

    def full(path, **options):
        raise ArchiveRefused(f"{path.name} can't be written: No space left on device.")

    monkeypatch.setattr(scheduled, "write_backup", full)
    with pytest.raises(ArchiveRefused):
        back_up_if_due(now=NOW)
    noted = Backup.objects.get()
    assert (noted.verified_at, noted.failure) == (
        None,
        f"{name_at(NOW)} can't be written: No space left on device.",
    )
    assert names(folder) == before


@pytest.mark.django_db(transaction=True)
def test_cron_makes_the_backup_too(folder, capsys):
    OneTimeKeyFactory(used_at=NOW - 60 * DAY)
    call_command("backup_due")
    said = capsys.readouterr().out
    assert said.startswith("Cleared: 1 form keys.\n")
    assert "read back and sound" in said
    call_command("backup_due")
    assert capsys.readouterr().out == "Cleared: nothing.\nNo backup is due.\n"


@pytest.mark.django_db(transaction=True)
def test_what_has_served_its_time_goes_also_where_the_backup_failed(folder, monkeypatch):
    def full(path, **options):
        raise ArchiveRefused("No space left on device.")

    monkeypatch.setattr(scheduled, "write_backup", full)
    OneTimeKeyFactory(used_at=NOW - 60 * DAY)
    with pytest.raises(ArchiveRefused):
        see_to_the_night(now=NOW)
    assert not OneTimeKey.objects.exists()


@pytest.mark.django_db
def test_a_folder_that_can_t_be_made_ends_in_one_line(settings, tmp_path):
    (tmp_path / "file").write_text("")
    settings.BACKUP_FOLDER = str(tmp_path / "file" / "backups")
    with pytest.raises(CommandError, match=r"can't be made: Not a directory\.") as refused:
        call_command("backup_due")
    assert refused.value.returncode == 2


@pytest.mark.django_db
def test_the_worker_is_handed_the_nightly_work_once(folder):
    assert tasks.enqueue_due(NOW) == [tasks.nightly.module_path]
    assert tasks.enqueue_due(NOW) == []
    assert DBTaskResult.objects.get().task_path == "labcases.operation.tasks.nightly"


@pytest.mark.django_db(transaction=True)
def test_a_worker_of_the_day_leaves_the_night_to_the_one_for_it(folder):
    tasks.nightly.enqueue()
    LabWorker(interval=0, grace=1, batch=True, jobs="day").run()
    assert DBTaskResult.objects.get().status == "READY"
    LabWorker(interval=0, grace=1, batch=True, jobs="night").run()
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"
    assert len(list(folder.glob("*.zip"))) == 1


@pytest.mark.django_db(transaction=True)
def test_a_worker_of_the_night_leaves_the_day_to_others_and_one_for_all_does_both(folder):
    for each in (tasks.see_to_letters, tasks.nightly):
        each.enqueue()
    LabWorker(interval=0, grace=1, batch=True, jobs="night").run()
    states = dict(DBTaskResult.objects.values_list("queue_name", "status"))
    assert states == {"default": "READY", "night": "SUCCESSFUL"}
    tasks.nightly.enqueue()
    LabWorker(interval=0, grace=1, batch=True).run()
    assert set(DBTaskResult.objects.values_list("status", flat=True)) == {"SUCCESSFUL"}
