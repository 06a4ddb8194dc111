import signal
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from labcases.operation.actions.backing_up import write_backup
from labcases.operation.management.one_line import contents, refusals_in_one_line


class Command(BaseCommand):
    help = (
        "Writes one moment of the whole database to FILE, while the site goes on working, and reads it back. "
        "The archive holds patient codes, figures and password hashes, unencrypted: only its owner may read "
        "the file, and it must be kept as safe as the site itself. The secret key and other settings are not "
        "in it, nor are sessions."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="a new file; one that exists is never overwritten")
        parser.add_argument("--database", default="default", help="which of the site's databases")

    def handle(self, *args: Any, **options: Any) -> None:
        # Ended from outside, it still takes its half-written files away.
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
        path = Path(options["file"])
        with refusals_in_one_line():
            manifest = write_backup(path, now=timezone.now(), using=options["database"])
        self.stdout.write(f"{path}: {contents(manifest)}; read back and sound")
