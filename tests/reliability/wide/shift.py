"""Technicians at work at two sites for a while, and what dies meanwhile."""

import itertools
import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator

from django.db import connections

from labcases.cases.choices import StageKind
from labcases.cases.models import Stage
from labcases.cases.numbers import case_number, next_running
from labcases.people.models import User
from tests.factories.people import TechnicianFactory
from tests.reliability.crowd import stages_at_work
from tests.reliability.killing import Site
from tests.reliability.wide.servers import PATIENCE, ROOT, Box
from tests.reliability.wide.technician import Technician

PEOPLE = 6
# Laid at a time, so that a list stays as short as one of a day.
STAGES_AT_ONCE = 4
SETTINGS = "tests.reliability.wide.settings"


YEAR = 2097


def running_numbers() -> Iterator[int]:
    running = 0
    while True:
        yield (running := next_running(YEAR, running))


class Shift:
    def __init__(self, box: Box, rng: random.Random, **environment: str) -> None:
        self.box = box
        given = {"DJANGO_SETTINGS_MODULE": SETTINGS, "LABCASES_REPLICA_URL": box.replica.url, **environment}
        self.sites = [Site(ROOT, **given) for _ in range(2)]
        self.stages: list[Stage] = []
        self.people = [
            Technician(
                TechnicianFactory(),
                [site.port for site in self.sites],
                self.lay_stages,
                random.Random(rng.random()),
            )
            for _ in range(PEOPLE)
        ]
        self.failed: list[str] = []
        self.replica_kills = 0

    _laying, _numbers, _running = threading.Lock(), itertools.count(step=STAGES_AT_ONCE), running_numbers()

    def lay_stages(self, user: User) -> Iterator[Stage]:
        """Work without end for one person, a few cases at a time."""
        while True:
            with self._laying:
                first = next(self._numbers)
                laid = stages_at_work(
                    STAGES_AT_ONCE, by=user, kind=StageKind.OCCLUSION_RIMS, numbered_from=first
                )
                for stage in laid:
                    # A page finds a case by a number that can be one.
                    stage.case.number = case_number(YEAR, next(self._running))
                    stage.case.save(update_fields=["number"])
                self.stages += laid
            yield from laid

    def work(self, deaths: Callable[[], None]) -> None:
        """Everybody works until `deaths`, which takes its time, is over."""
        for site in self.sites:
            site.start()
        stop = threading.Event()
        threads = [threading.Thread(target=self._work, args=(person, stop)) for person in self.people]
        for thread in threads:
            thread.start()
        try:
            deaths()
        finally:
            stop.set()
            for thread in threads:
                thread.join()
            for site in self.sites:
                site.kill()

    def _work(self, person: Technician, stop: threading.Event) -> None:
        try:
            person.work(stop)
        except Exception as error:
            self.failed.append(f"{type(error).__name__}: {error}")
        finally:
            connections.close_all()

    def kill_in_turn(self, kills: int, *, seconds: float) -> Callable[[], None]:
        """The sites one after the other, none while the other is down; now and then the replica too."""

        def deaths() -> None:
            for number in range(kills):
                time.sleep(seconds)
                site = self.sites[number % 2]
                site.kill()
                time.sleep(1)
                site.start()
                if number % 4 == 1:
                    time.sleep(seconds / 2)
                    self.box.replica.kill()
                    self.replica_kills += 1
                    time.sleep(2)
                    self.box.replica.start()
            time.sleep(seconds)

        return deaths

    def look_for_stale_lists(self, *, seconds: float) -> None:
        """So long at least, and until one was seen: on a busy machine a replica may seem quick."""
        began = time.monotonic()
        while (passed := time.monotonic() - began) < PATIENCE:
            time.sleep(0.2)
            if passed > seconds and any(person.stale for person in self.people):
                return


class Workers:
    """Two workers beside the sites; asked to end when the block does."""

    def __init__(self, box: Box) -> None:
        self.box = box
        self.environment = {"LABCASES_BACKUP_FOLDER": str(box.folder / "backups"), "PYTHONPATH": str(ROOT)}

    def __enter__(self) -> None:
        command = [sys.executable, "manage.py", "worker", "--interval", "0.2"]
        here = {**os.environ, **self.environment}
        with (self.box.folder / "workers.log").open("ab") as log:
            self.running = [
                subprocess.Popen(command, cwd=ROOT, env=here, stdout=log, stderr=log) for _ in range(2)
            ]

    def __exit__(self, *_: object) -> None:
        for each in self.running:
            each.send_signal(signal.SIGTERM)
        for each in self.running:
            assert each.wait(PATIENCE) == 0, "a worker did not end in good order"
