from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from labcases.operation.actions.backing_up import verify_backup
from labcases.operation.management.one_line import contents, refusals_in_one_line


class Command(BaseCommand):
    help = "Checks every byte and every row of a backup, and that this program can restore it. It needs no database."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        with refusals_in_one_line():
            manifest = verify_backup(path)
        self.stdout.write(f"{path}: {contents(manifest)}; sound")
