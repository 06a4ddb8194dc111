"""Whether what runs beside the site runs: the worker, the backups, the jobs, the disk."""

import datetime
import shutil
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import Error, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import BigIntegerField, DateTimeField, Func, Max, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django_tasks_db.models import DBTaskResult

from labcases.people.models import User
from labcases.upkeep.models import Backup, LastWrite, Worker
from labcases.upkeep.rules import (
    AGAIN_AFTER,
    AWAY,
    MOST_ATTEMPTS,
    SILENT_AFTER,
    day_of_backup,
    standing_in_words,
)

UNDER_WAY = ("READY", "RUNNING")
REPLICA = "replica"


class EndOfLog(Func):
    """Where a primary's log ends, in bytes; a commit that is not flushed yet counts. PostgreSQL only."""

    template = "pg_wal_lsn_diff(pg_current_wal_insert_lsn(), '0/0')::bigint"
    output_field = BigIntegerField()


class Replayed(EndOfLog):
    """Up to where a replica has replayed its primary's log; nothing where that server never replayed any."""

    template = "pg_wal_lsn_diff(pg_last_wal_replay_lsn(), '0/0')::bigint"


class LastCommitReplayed(Func):
    template = "pg_last_xact_replay_timestamp()"
    output_field = DateTimeField()


def worker_seen_at() -> datetime.datetime | None:
    """When any worker last gave a sign of life; None if none ever did."""
    return Worker.objects.aggregate(last=Max("seen_at"))["last"]


def living_workers(now: datetime.datetime) -> set[str]:
    living = Worker.objects.filter(seen_at__gt=now - SILENT_AFTER)
    return set(living.values_list("worker_id", flat=True))


def is_under_way(task_path: str) -> bool:
    """Whether a job of this task waits or runs already."""
    return DBTaskResult.objects.filter(task_path=task_path, status__in=UNDER_WAY).exists()


def failed_jobs(since: datetime.datetime) -> QuerySet[DBTaskResult]:
    found = DBTaskResult.objects.failed().filter(finished_at__gte=since)
    return found.defer("traceback", "return_value").order_by("-finished_at")


def backups() -> QuerySet[Backup]:
    return Backup.objects.all()


def last_verified_backup() -> Backup | None:
    return Backup.objects.exclude(verified_at=None).order_by("-verified_at").first()


def backup_day_due(now: datetime.datetime, *, hour: int) -> datetime.date | None:
    """The day for which a backup is to be begun at this local time; None if it is made or was tried just now."""
    day = day_of_backup(now, hour=hour)
    tries = list(Backup.objects.filter(day=day))
    if any(each.verified_at for each in tries) or len(tries) >= MOST_ATTEMPTS:
        return None
    return None if any(each.started_at > now - AGAIN_AFTER for each in tries) else day


def migrations_missing() -> bool:
    """Whether the database lacks a migration of this program. Takes a tenth of a second: not for every request."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def free_bytes(folders: Iterable[Path] = ()) -> int:
    """What is left on the fullest of the disks that the site writes to."""
    return min(shutil.disk_usage(folder).free for folder in (*folders, *_folders()) if folder.is_dir())


def _folders() -> Iterable[Path]:
    yield settings.VAR_DIR
    yield Path(settings.BACKUP_FOLDER)
    if connection.vendor == "sqlite":
        yield Path(connection.settings_dict["NAME"]).parent


def has_replica() -> bool:
    return REPLICA in settings.DATABASES


def last_write_and_end(user: User) -> tuple[int, int]:
    """Where in the primary's log this person last wrote, 0 for never, and where the log ends."""
    last = LastWrite.objects.filter(user=user).values("position")
    end: tuple[int, int] = (
        User.objects.filter(pk=user.pk).values_list(Coalesce(Subquery(last), 0), EndOfLog()).get()
    )
    return end


def replayed() -> int | None:
    """Up to where the replica has replayed the primary's log; None where that server never replayed any."""
    return _of_replica(Replayed())[0]


def replica_standing(*, now: datetime.datetime) -> str:
    """How far the replica is behind, in words; its seconds are those since the last commit that it knows."""
    end = User.objects.values_list(EndOfLog()).first()
    try:
        done, known = _of_replica(Replayed(), LastCommitReplayed())
    except Error:
        return AWAY
    behind = None if end is None or done is None else end[0] - done
    return standing_in_words(behind, seconds=(now - known).total_seconds() if known else 0)


def _of_replica(*asked: Func) -> tuple[Any, ...]:
    """What the replica says of itself, beside any row that it has."""
    rows = User.objects.using(REPLICA).order_by().values_list(*asked)
    return rows.first() or (None,) * len(asked)
