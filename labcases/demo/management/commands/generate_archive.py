import time
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from labcases.demo.archive.generating import generate_archive
from labcases.demo.archive.patterns import TABLES
from labcases.people.refusals import Refused


class Command(BaseCommand):
    help = (
        "Fills an empty site with an invented archive of any size, to see how the site does after years of work: "
        "most cases closed, some 300 open, all told through the real actions or copied from such."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--cases", type=int, default=100_000)
        parser.add_argument("--seed", type=int, default=1, help="the same seed gives the same archive")

    def handle(self, *args: Any, cases: int, seed: int, **options: Any) -> None:
        call_command("migrate", interactive=False, verbosity=0)
        start = time.monotonic()
        try:
            generate_archive(cases=cases, seed=seed, now=timezone.localtime(), say=self._say)
        except Refused as refusal:
            raise CommandError(refusal.message) from refusal
        counts = ", ".join(
            f"{model._base_manager.count():,} {model._meta.verbose_name_plural}" for model in TABLES
        )
        self.stdout.write(f"{counts}; in {time.monotonic() - start:.0f} s")

    def _say(self, done: int) -> None:
        if done % 10_000 == 0:
            self.stdout.write(f"{done:,} closed cases")
