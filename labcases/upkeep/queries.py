"""Whether what runs beside the site runs: the worker, the backups, the jobs, the disk."""

import datetime
import shutil
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Max, QuerySet
from django_tasks_db.models import DBTaskResult

from labcases.upkeep.models import Backup, Worker
from labcases.upkeep.rules import AGAIN_AFTER, MOST_ATTEMPTS, SILENT_AFTER, day_of_backup

UNDER_WAY = ("READY", "RUNNING")


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
