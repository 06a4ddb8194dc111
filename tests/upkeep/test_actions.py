import datetime

import pytest
from django_tasks_db.models import DBTaskResult

from labcases.cases.choices import ImportState, LineState
from labcases.cases.models import CaseImport, ImportLine
from labcases.people.models import OneTimeKey, Session, SignInCount
from labcases.people.sessions import SessionStore
from labcases.upkeep.actions.backups import begin_backup, note_failure, note_removed, note_verified
from labcases.upkeep.actions.clearing import clear_away
from labcases.upkeep.actions.workers import (
    give_back_job,
    give_back_lost_jobs,
    note_sign_of_life,
    sign_off,
)
from labcases.upkeep.models import Backup, Worker
from labcases.upkeep.queries import backup_day_due, is_under_way, last_verified_backup, worker_seen_at
from tests.factories.cases import NOW, CaseImportFactory, ImportLineFactory
from tests.factories.people import ManagerFactory
from tests.factories.upkeep import BackupFactory, WorkerFactory

pytestmark = pytest.mark.django_db
MINUTE = datetime.timedelta(minutes=1)
HOUR = datetime.timedelta(hours=1)
DAY = datetime.timedelta(days=1)
TODAY = NOW.date()


def job(*worker_ids, status="RUNNING", **fields):
    return DBTaskResult.objects.create(
        status=status,
        worker_ids=list(worker_ids),
        started_at=NOW - HOUR,
        args_kwargs={"args": [], "kwargs": {}},
        task_path="tests.upkeep.nothing",
        backend_name="default",
        run_after=NOW - HOUR,
        **fields,
    )


def test_a_worker_is_seen_until_it_signs_off():
    assert worker_seen_at() is None
    note_sign_of_life(worker_id="labcases-a", now=NOW - MINUTE)
    note_sign_of_life(worker_id="labcases-a", now=NOW)
    worker = Worker.objects.get()
    assert (worker.started_at, worker.seen_at) == (NOW - MINUTE, NOW)
    assert worker_seen_at() == NOW
    sign_off(worker_id="labcases-a")
    assert worker_seen_at() is None


def test_a_job_whose_worker_died_waits_again():
    lost, held = job("labcases-dead"), job("labcases-living")
    WorkerFactory(worker_id="labcases-living", seen_at=NOW - MINUTE)
    WorkerFactory(worker_id="labcases-dead", seen_at=NOW - 3 * MINUTE)
    assert give_back_lost_jobs(now=NOW) == 1
    lost.refresh_from_db()
    held.refresh_from_db()
    assert (lost.status, lost.started_at) == ("READY", None)
    assert held.status == "RUNNING"


def test_a_job_that_its_worker_has_to_leave_waits_again_and_a_finished_one_does_not():
    left, done = job("labcases-a"), job("labcases-a", status="SUCCESSFUL")
    for each in (left, done):
        give_back_job(each)
        each.refresh_from_db()
    assert (left.status, left.started_at) == ("READY", None)
    assert done.status == "SUCCESSFUL"


def test_a_job_that_ended_three_workers_is_not_tried_a_fourth_time():
    lost = job("labcases-a", "labcases-b", "labcases-c")
    give_back_lost_jobs(now=NOW)
    lost.refresh_from_db()
    assert lost.status == "FAILED"
    assert "3 workers" in lost.traceback


def test_the_job_of_a_worker_that_gives_no_signs_of_life_is_left_alone():
    job("somebody-elses")
    assert give_back_lost_jobs(now=NOW) == 0


@pytest.mark.parametrize(("status", "under_way"), [("READY", True), ("RUNNING", True), ("FAILED", False)])
def test_a_task_is_under_way_while_a_job_of_it_waits_or_runs(status, under_way):
    job(status=status)
    assert is_under_way("tests.upkeep.nothing") is under_way
    assert not is_under_way("tests.upkeep.other")


def test_a_backup_is_due_until_one_of_its_day_is_verified():
    assert backup_day_due(NOW, hour=2) == TODAY
    tried = begin_backup(day=TODAY, file_name="a.zip", now=NOW - 2 * HOUR)
    assert backup_day_due(NOW, hour=2) == TODAY
    again = begin_backup(day=TODAY, file_name="b.zip", now=NOW - MINUTE)
    assert (tried.attempt, again.attempt) == (1, 2)
    assert backup_day_due(NOW, hour=2) is None
    assert backup_day_due(NOW + HOUR, hour=2) == TODAY
    Backup.objects.filter(pk=again.pk).update(verified_at=NOW)
    assert backup_day_due(NOW + HOUR, hour=2) is None
    assert backup_day_due(NOW + DAY, hour=2) == TODAY + DAY
    assert last_verified_backup() == again


def test_the_log_says_how_each_backup_ended():
    good, bad, other = (begin_backup(day=TODAY, file_name=f"{name}.zip", now=NOW) for name in "abc")
    note_verified(good, row_count=12, size=345, now=NOW + MINUTE)
    note_failure(bad, words="The disk is full. " * 40)
    note_removed(file_names=["a.zip", "b.zip"], now=NOW + HOUR)
    note_removed(file_names=["a.zip"], now=NOW + DAY)
    for each in (good, bad, other):
        each.refresh_from_db()
    assert (good.verified_at, good.row_count, good.size) == (NOW + MINUTE, 12, 345)
    assert (bad.verified_at, len(bad.failure)) == (None, 400)
    assert [each.removed_at for each in (good, bad, other)] == [NOW + HOUR, NOW + HOUR, None]


def test_a_backup_that_fails_all_day_is_tried_no_more_than_eight_times():
    for attempt in range(1, 9):
        BackupFactory(day=TODAY, attempt=attempt, started_at=NOW - DAY)
    assert backup_day_due(NOW, hour=2) is None


def test_what_has_served_its_time_goes_and_the_rest_stays():
    manager = ManagerFactory()
    old, new = NOW - 31 * DAY, NOW - 29 * DAY
    for name, at in (("old", old), ("new", new)):
        OneTimeKey.objects.create(key=name, user=manager, answer="/", used_at=at)
        job(status="SUCCESSFUL", finished_at=at, priority=1 if name == "old" else 2)
    job(status="READY", priority=3)
    SignInCount.objects.create(key="old", since=NOW - 2 * DAY)
    for days, state in ((91, LineState.FAULTY), (91, LineState.TAKEN), (89, LineState.FAULTY)):
        ImportLineFactory(case_import__made_at=NOW - days * DAY, state=state)
    at_work = CaseImportFactory(made_at=NOW - 91 * DAY, state=ImportState.CHECKING)
    ImportLineFactory(case_import=at_work, state=LineState.WAITING)
    WorkerFactory(seen_at=NOW - 8 * DAY)
    for name, seconds in (("ended", -10), ("open", 1000)):
        session = SessionStore()
        session["name"] = name
        session.set_expiry(datetime.timedelta(seconds=seconds) + datetime.datetime.now(datetime.UTC))
        session.save()
    clear_away(now=NOW)
    assert list(OneTimeKey.objects.values_list("key", flat=True)) == ["new"]
    assert sorted(DBTaskResult.objects.values_list("priority", flat=True)) == [2, 3]
    assert not SignInCount.objects.exists()
    left = {line.state for line in ImportLine.objects.all()}
    assert (ImportLine.objects.count(), CaseImport.objects.count()) == (3, 3)
    assert left == {LineState.TAKEN, LineState.FAULTY, LineState.WAITING}
    assert not Worker.objects.exists()
    assert [each.get_decoded()["name"] for each in Session.objects.all()] == ["open"]
