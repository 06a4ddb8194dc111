"""Signs of life of background workers, and the jobs that a dead one left behind."""

import datetime

from django.db import transaction
from django_tasks_db.models import DBTaskResult

from labcases.upkeep.models import Worker
from labcases.upkeep.queries import living_workers

# Only these workers give signs of life; of others nobody knows whether they still work on their job.
OURS = "labcases-"
MOST_TRIES = 3


@transaction.atomic
def note_sign_of_life(*, worker_id: str, now: datetime.datetime) -> None:
    Worker.objects.update_or_create(
        worker_id=worker_id,
        defaults={"seen_at": now},
        create_defaults={"seen_at": now, "started_at": now},
    )


@transaction.atomic
def sign_off(*, worker_id: str) -> None:
    """A worker ends in good order and has nothing in hand any more."""
    Worker.objects.filter(worker_id=worker_id).delete()


@transaction.atomic
def give_back_lost_jobs(*, now: datetime.datetime) -> int:
    """Let jobs wait again whose worker died over them; one that ended several workers is failed instead."""
    living = living_workers(now)
    lost = [
        job
        for job in DBTaskResult.objects.running().only("id", "worker_ids", "started_at")
        if job.worker_ids and job.worker_ids[-1].startswith(OURS) and job.worker_ids[-1] not in living
    ]
    return sum(_give_back(job, now) for job in lost)


@transaction.atomic
def give_back_job(job: DBTaskResult) -> None:
    """Let a job wait again that its own worker had to leave."""
    DBTaskResult.objects.running().filter(pk=job.pk).update(status="READY", started_at=None)


def _give_back(job: DBTaskResult, now: datetime.datetime) -> int:
    same = DBTaskResult.objects.running().filter(pk=job.pk, started_at=job.started_at)
    if len(job.worker_ids) < MOST_TRIES:
        return same.update(status="READY", started_at=None)
    words = f"{len(job.worker_ids)} workers ended over this job, the last on an unknown cause."
    return same.update(
        status="FAILED", finished_at=now, exception_class_path="labcases.WorkerLost", traceback=words
    )
