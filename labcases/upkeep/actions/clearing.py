"""What has served its time goes, every night."""

import datetime

from django.db import transaction
from django_tasks_db.models import DBTaskResult

from labcases.cases.actions.importing import throw_away_old_rows
from labcases.people.models import OneTimeKey, SignInCount
from labcases.people.sessions import SessionStore
from labcases.upkeep.models import Backup, Worker

DAY = datetime.timedelta(days=1)
# A page may lie open for days before its form is sent, but not for a month.
KEYS_KEPT = 30 * DAY
JOBS_KEPT = 30 * DAY
WORKERS_KEPT = 7 * DAY
ROWS_NOT_TAKEN_IN_KEPT = 90 * DAY
BACKUPS_REMEMBERED = 400 * DAY


@transaction.atomic
def clear_away(*, now: datetime.datetime) -> dict[str, int]:
    """Delete used form keys, old counts of sign-ins, ended jobs and workers, rows of files that were never
    taken in, and sessions that have run out."""
    gone = {
        "form keys": OneTimeKey.objects.filter(used_at__lt=now - KEYS_KEPT),
        "counts of sign-ins": SignInCount.objects.filter(since__lt=now - DAY),
        "jobs": DBTaskResult.objects.finished().filter(finished_at__lt=now - JOBS_KEPT),
        "workers": Worker.objects.filter(seen_at__lt=now - WORKERS_KEPT),
        "backups": Backup.objects.filter(started_at__lt=now - BACKUPS_REMEMBERED),
    }
    counts = {name: rows.delete()[0] for name, rows in gone.items()}
    counts["rows of files"] = throw_away_old_rows(before=now - ROWS_NOT_TAKEN_IN_KEPT)
    SessionStore.clear_expired()
    return counts
