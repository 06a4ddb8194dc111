import os
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from labcases.operation.working import JOBS, LabWorker
from labcases.tickets.press import stand_back_as_session


class Command(BaseCommand):
    help = (
        "Does what takes longer than a page may, sends letters, and makes the nightly backup. Asked to end "
        "(SIGTERM), it finishes the job in hand or gives it back for the next worker. Several may run at once."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--interval", type=float, default=1.0, help="seconds between looks for jobs")
        parser.add_argument(
            "--grace",
            type=float,
            default=25.0,
            help="seconds that a job in hand has once the worker must end",
        )
        parser.add_argument("--batch", action="store_true", help="do what waits now, then end")
        parser.add_argument(
            "--jobs",
            choices=JOBS,
            default="all",
            help="day: all but the nightly work, which then needs a worker of its own: night (all unless told)",
        )
        parser.add_argument(
            "--niceness",
            type=int,
            choices=range(20),
            default=10,
            metavar="0-19",
            help="how far it stands back, so that pages of the same machine come first (10 unless told)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        os.nice(options["niceness"])
        stand_back_as_session()
        names = ("interval", "grace", "batch", "jobs")
        worker = LabWorker(**{name: options[name] for name in names})
        worker.work()
