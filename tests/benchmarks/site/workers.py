"""Background workers of our own, and a morning's tickets made by one of them and by two."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from django.utils import timezone

from labcases.cases.models import Stage
from labcases.people.choices import Role
from labcases.people.models import User
from labcases.tickets.actions import why_not_printed
from labcases.tickets.actions.printing import ask_for_papers
from labcases.tickets.choices import AT_WORK, RunState
from labcases.tickets.models import PrintLine, PrintRun, WorkTicket

PATIENCE = 300


class Worker:
    """A worker process as it is deployed, that can be held still; its press then has nothing to do."""

    def __init__(self) -> None:
        command = [sys.executable, "manage.py", "worker", "--interval", "0.1", "--jobs", "day"]
        self.process = subprocess.Popen(
            command, env=os.environ, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL
        )

    def hold(self) -> None:
        self.process.send_signal(signal.SIGSTOP)

    def let_go(self) -> None:
        self.process.send_signal(signal.SIGCONT)

    def end(self) -> None:
        self.let_go()
        self.process.kill()
        self.process.wait(60)


@contextmanager
def workers(count: int) -> Iterator[list[Worker]]:
    begun = [Worker() for _ in range(count)]
    try:
        yield begun
    finally:
        for worker in begun:
            worker.end()


def printable(paper: str = "a4") -> list[Stage]:
    """Work at the bench that can have a ticket and has none on this paper yet."""
    printed = WorkTicket.objects.filter(paper=paper).values("stage")
    stages = Stage.objects.at_bench().with_case().exclude(pk__in=printed).order_by("pk")
    return [stage for stage in stages if not why_not_printed(stage)]


def ask(stages: Sequence[Stage], paper: str = "a4") -> list[PrintRun]:
    manager = User.objects.filter(role=Role.MANAGER).order_by("pk")[0]
    return ask_for_papers(stages=stages, paper=paper, by=manager, now=timezone.now())


def measure_morning(*, many: int) -> dict[str, Any]:
    """The tickets of a morning by one worker and by two, in turns; each made for the first time."""
    stages = printable()
    many = min(many, len(stages) // 5)
    taken: dict[str, list[float]] = {"one worker": [], "two workers": [], "the first paper by two": []}
    with workers(2) as (first, second):
        # Both print once before anything is measured, each alone, so that each has a press that is warm.
        for idle in (second, first):
            idle.hold()
            _made(stages[:2])
            idle.let_go()
        for turn, by in enumerate(("one worker", "two workers", "two workers", "one worker")):
            if by == "one worker":
                second.hold()
            whole, until_first = _made(stages[2 + turn * many : 2 + (turn + 1) * many])
            second.let_go()
            taken[by].append(whole)
            if by == "two workers":
                taken["the first paper by two"].append(until_first)
    return {"many": many, **{name: sum(times) / len(times) for name, times in taken.items()}}


def _made(stages: Sequence[Stage]) -> tuple[float, float]:
    """Seconds until all are made, and until the first can be opened."""
    began, until_first = time.perf_counter(), 0.0
    runs = PrintRun.objects.filter(pk__in=[run.pk for run in ask(stages)])
    while runs.filter(state__in=AT_WORK).exists():
        took = time.perf_counter() - began
        if not until_first and PrintLine.objects.filter(run__in=runs, ticket__isnull=False).exists():
            until_first = took
        if took > PATIENCE:
            raise RuntimeError("the tickets were not made in time")
        time.sleep(0.05)
    whole = time.perf_counter() - began
    if failed := PrintLine.objects.filter(run__in=runs, ticket__isnull=True).count():
        raise RuntimeError(f"{failed} tickets were not made")
    assert not runs.exclude(state=RunState.READY).exists()
    return whole, until_first or whole
