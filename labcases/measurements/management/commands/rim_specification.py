from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from labcases.measurements.management.documents import FILE_HELP, answer_to
from labcases.prosthodontics.specification.request import specification_request


class Command(BaseCommand):
    help = "Computes one rim's specification: a JSON object in (a file, or - for standard input), one out."
    # Pure computation: no database, and no need to look whether the site is in order.
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help=FILE_HELP)

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        self.stdout.write(answer_to(file, specification_request))
