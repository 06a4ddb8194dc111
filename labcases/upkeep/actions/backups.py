"""The log of backups: begun, verified or failed, removed to make room."""

import datetime
from collections.abc import Collection

from django.db import IntegrityError, transaction
from django.db.models import Max

from labcases.upkeep.models import Backup


@transaction.atomic
def begin_backup(*, day: datetime.date, file_name: str, now: datetime.datetime) -> Backup | None:
    """Note a try at a day's backup; None where another process has just begun the same."""
    last = Backup.objects.filter(day=day).aggregate(last=Max("attempt"))["last"] or 0
    try:
        with transaction.atomic():
            return Backup.objects.create(day=day, attempt=last + 1, file_name=file_name, started_at=now)
    except IntegrityError:
        return None


@transaction.atomic
def note_verified(backup: Backup, *, row_count: int, size: int, now: datetime.datetime) -> None:
    Backup.objects.filter(pk=backup.pk).update(verified_at=now, row_count=row_count, size=size)


@transaction.atomic
def note_failure(backup: Backup, *, words: str) -> None:
    Backup.objects.filter(pk=backup.pk).update(failure=words[:400])


@transaction.atomic
def note_removed(*, file_names: Collection[str], now: datetime.datetime) -> None:
    Backup.objects.filter(file_name__in=file_names, removed_at=None).update(removed_at=now)
