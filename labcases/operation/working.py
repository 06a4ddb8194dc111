"""The worker: does background jobs one after the other, says that it lives, and ends without losing a job."""

import logging
import signal
import threading
from functools import partial
from types import FrameType

from django.db import connections
from django.utils import timezone
from django.utils.crypto import get_random_string
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult

from labcases.operation.tasks import NIGHT, enqueue_due
from labcases.upkeep.actions.workers import (
    OURS,
    give_back_job,
    give_back_lost_jobs,
    note_sign_of_life,
    sign_off,
)

BEAT_SECONDS = 10.0
# Which queues a worker sees to, and which of them it leaves to others. A backup of ten years takes minutes, in which a
# worker prints nothing; by day that is the night's work of a site that was switched off.
JOBS = {"all": (["*"], []), "day": (["*"], [NIGHT]), "night": ([NIGHT], [])}
logger = logging.getLogger("labcases.worker")


class GivenBack(BaseException):
    """The worker has to end before its job did. No Exception, so that no job takes it for its own failure."""


class LabWorker(Worker):
    def __init__(self, *, interval: float, grace: float, batch: bool = False, jobs: str = "all") -> None:
        queues, left_to_others = JOBS[jobs]
        super().__init__(
            queue_names=queues,
            interval=interval,
            batch=batch,
            backend_name="default",
            startup_delay=False,
            max_tasks=None,
            worker_id=OURS + get_random_string(24),
            excluded_queue_names=left_to_others,
        )
        self.grace = grace

    def shutdown(self, signum: int, frame: FrameType | None) -> None:
        """Asked to end: the job in hand may finish within the grace, and then is given back."""
        if not self.running:
            raise GivenBack
        self.running = False
        if not self.running_task:
            raise SystemExit(0)
        logger.info("asked to end; the job in hand has %g seconds", self.grace)
        signal.signal(signal.SIGALRM, self._time_is_up)
        signal.setitimer(signal.ITIMER_REAL, self.grace)

    def _time_is_up(self, signum: int, frame: FrameType | None) -> None:
        if self.running_task:
            raise GivenBack

    def run_task(self, db_task_result: DBTaskResult) -> None:
        db_task_result.set_failed = partial(self._not_done, db_task_result)
        logger.info("job begins: %s", db_task_result.task_name)
        super().run_task(db_task_result)
        signal.setitimer(signal.ITIMER_REAL, 0)
        logger.info("job ended: %s, %s", db_task_result.task_name, db_task_result.status.lower())

    def _not_done(self, job: DBTaskResult, error: BaseException) -> None:
        if isinstance(error, GivenBack):
            give_back_job(job)
            job.refresh_from_db(fields=["status"])
            logger.warning("job given back: %s", job.task_name)
        else:
            DBTaskResult.set_failed(job, error)
            logger.error("job failed: %s", job.task_name, exc_info=error)

    def work(self) -> None:
        """Work until asked to end, or with `batch` until nothing waits any more."""
        self.configure_signals()
        heart = Heart(self.worker_id)
        heart.beat()
        heart.start()
        try:
            self.run()
        finally:
            heart.stop()
            sign_off(worker_id=self.worker_id)


class Heart(threading.Thread):
    """Beats beside the jobs, however long they take: a sign of life, lost jobs given back, duties handed out."""

    def __init__(self, worker_id: str) -> None:
        super().__init__(name="signs of life", daemon=True)
        self.worker_id, self.ended = worker_id, threading.Event()

    def beat(self) -> None:
        now = timezone.now()
        note_sign_of_life(worker_id=self.worker_id, now=now)
        given_back = give_back_lost_jobs(now=now)
        if given_back:
            logger.warning("%d jobs of workers that died wait again", given_back)
        enqueue_due(now)

    def run(self) -> None:
        while not self.ended.wait(BEAT_SECONDS):
            try:
                self.beat()
            except Exception as error:
                # The next beat may find the database again; jobs notice by themselves.
                logger.error("a sign of life could not be given", exc_info=error)
                connections.close_all()
        connections.close_all()

    def stop(self) -> None:
        self.ended.set()
        self.join(timeout=BEAT_SECONDS)
