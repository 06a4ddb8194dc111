from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from labcases.operation.actions.restoring import restore_backup
from labcases.operation.archive.reading import opened
from labcases.operation.management.one_line import contents, refusals_in_one_line


class Command(BaseCommand):
    help = (
        "Puts a backup into an empty database, SQLite or PostgreSQL, and brings it up to date. The whole archive is "
        "checked before anything is touched, and all of it is restored or nothing. Stop the site first. A backup "
        "is no proof of where it came from: restore only files that you kept yourself."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE")
        parser.add_argument("--database", default="default", help="which of the site's databases")
        parser.add_argument(
            "--replace",
            action="store_true",
            help="throw away whatever the database holds; make a backup of that first",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        with refusals_in_one_line(), opened(Path(options["file"])) as archive:
            restore_backup(archive, using=options["database"], replace=options["replace"])
            self.stdout.write(f"{options['file']}: {contents(archive.manifest)}; restored")
