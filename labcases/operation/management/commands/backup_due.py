import signal
import sys
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from labcases.operation.management.one_line import refusals_in_one_line
from labcases.operation.scheduled import see_to_the_night


class Command(BaseCommand):
    help = (
        "Makes and verifies the backup of the day if it is due and not made yet, lets older ones go, and clears away "
        "what has served its time: what the worker does every night, for sites that would rather have cron do it."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        # Ended from outside, it still takes its half-written files away.
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
        with refusals_in_one_line():
            night = see_to_the_night(now=timezone.now())
        self.stdout.write(f"{night.cleared.capitalize()}.")
        made = night.made
        if made is None:
            self.stdout.write("No backup is due.")
            return
        gone = f"; {len(made.removed)} older removed" if made.removed else ""
        self.stdout.write(f"{made.path}: {made.row_count} rows; read back and sound{gone}")
