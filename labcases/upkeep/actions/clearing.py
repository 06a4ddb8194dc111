"""What has served its time goes, every night."""

import datetime
from importlib import import_module

from django.conf import settings
from django.db import transaction
from django_tasks_db.models import DBTaskResult

from labcases.people.models import OneTimeKey, SignInCount
from labcases.upkeep.models import Backup, Worker

DAY = datetime.timedelta(days=1)
# A page may lie open for days before its form is sent, but not for a month.
KEYS_KEPT = 30 * DAY
JOBS_KEPT = 30 * DAY
WORKERS_KEPT = 7 * DAY
BACKUPS_REMEMBERED = 400 * DAY


@transaction.atomic
def clear_away(*, now: datetime.datetime) -> dict[str, int]:
    """Delete used form keys, old counts of sign-ins, ended jobs and workers, and sessions that have run out."""
    gone = {
        "form keys": OneTimeKey.objects.filter(used_at__lt=now - KEYS_KEPT),
        "counts of sign-ins": SignInCount.objects.filter(since__lt=now - DAY),
        "jobs": DBTaskResult.objects.finished().filter(finished_at__lt=now - JOBS_KEPT),
        "workers": Worker.objects.filter(seen_at__lt=now - WORKERS_KEPT),
        "backups": Backup.objects.filter(started_at__lt=now - BACKUPS_REMEMBERED),
    }
    counts = {name: rows.delete()[0] for name, rows in gone.items()}
    import_module(settings.SESSION_ENGINE).SessionStore.clear_expired()
    return counts
