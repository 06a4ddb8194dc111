"""Asked to end, the site answers what it has in hand, and the worker finishes its job or gives it back."""

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request

import pytest
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from labcases.operation.working import LabWorker
from labcases.upkeep.models import Backup, Worker
from labcases.upkeep.rules import day_of_backup
from tests.factories.cases import NOW
from tests.operation.databases import database_at_hand
from tests.operation.slow import slow_job

PATIENCE = 60


def wait_for(condition, process):
    until = time.monotonic() + PATIENCE
    while not condition():
        assert process.poll() is None, process.stderr.read().decode()
        assert time.monotonic() < until, "waited in vain"
        time.sleep(0.05)


@pytest.fixture
def process(project_root):
    begun = []

    def begin(*command, **environment):
        given = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings", "PYTHONPATH": str(project_root)}
        begun.append(
            subprocess.Popen(
                [sys.executable, *command],
                cwd=project_root,
                env={**given, **environment},
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
            )
        )
        return begun[-1]

    yield begin
    for each in begun:
        each.kill()
        each.communicate()


@pytest.fixture
def worker(transactional_db, process, settings):
    """A worker in the middle of a job; the backup of the day is made already, so that it has nothing else to do."""
    day = day_of_backup(timezone.localtime(), hour=settings.BACKUP_HOUR)
    Backup.objects.create(day=day, started_at=NOW, verified_at=NOW, file_name="made.zip")

    def begin(folder, *, seconds, grace):
        slow_job.enqueue(str(folder), seconds)
        options = ("manage.py", "worker", "--interval", "0.05", "--grace", str(grace))
        running = process(*options, DATABASE_URL=database_at_hand())
        wait_for((folder / "begun").exists, running)
        return running

    return begin


def lines_of(process):
    _, said = process.communicate(timeout=PATIENCE)
    return [json.loads(line) for line in said.decode().splitlines()]


def test_a_worker_asked_to_end_finishes_the_job_in_hand(worker, tmp_path):
    running = worker(tmp_path, seconds=1, grace=30)
    assert Worker.objects.count() == 1
    assert os.getpriority(os.PRIO_PROCESS, running.pid) == min(os.getpriority(os.PRIO_PROCESS, 0) + 10, 19), (
        "a job stands back behind pages"
    )
    running.terminate()
    lines = lines_of(running)
    assert running.returncode == 0
    assert (tmp_path / "ended").exists()
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"
    assert not Worker.objects.exists()
    assert [line["event"] for line in lines if line["logger"] == "labcases.worker"] == [
        "job begins: slow_job",
        "asked to end; the job in hand has 30 seconds",
        "job ended: slow_job, successful",
    ]


def test_a_job_that_outlasts_the_grace_is_given_back_and_done_by_the_next_worker(worker, tmp_path):
    running = worker(tmp_path, seconds=30, grace=0.2)
    running.terminate()
    lines_of(running)
    assert running.returncode == 0
    assert not (tmp_path / "ended").exists()
    job = DBTaskResult.objects.get()
    assert (job.status, job.started_at, job.traceback) == ("READY", None, "")
    DBTaskResult.objects.update(args_kwargs={"args": [str(tmp_path), 0], "kwargs": {}})
    LabWorker(interval=0, grace=1, batch=True).run()
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"
    assert (tmp_path / "begun").read_text() == "xx"


def test_the_site_asked_to_end_answers_the_request_in_hand(process, tmp_path):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    options = ("--config", "python:labcases.config.server", "--workers", "1", "--bind", f"127.0.0.1:{port}")
    running = process("-m", "gunicorn", *options, "tests.operation.slow:slow_site", LABCASES_SECURE="0")
    marker, answers = tmp_path / "marker", []

    def ask(**headers):
        request = urllib.request.Request(f"http://127.0.0.1:{port}/healthz", headers=headers)
        with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
            answers.append((answer.status, json.load(answer)))

    def answers_at_all():
        try:
            ask()
        except OSError:
            return False
        return True

    wait_for(answers_at_all, running)
    asking = threading.Thread(target=ask, kwargs={"X-Marker": str(marker)})
    asking.start()
    wait_for(marker.exists, running)
    running.send_signal(signal.SIGTERM)
    asking.join(PATIENCE)
    lines_of(running)
    assert answers == [(200, {"alive": True})] * 2
    assert running.returncode == 0
    with pytest.raises(OSError, match="refused"):
        ask()
