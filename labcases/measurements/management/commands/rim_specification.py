import json
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.specification.request import (
    LONGEST_DOCUMENT,
    load_request,
    specification_request,
)


class Command(BaseCommand):
    help = "Computes one rim's specification: a JSON object in (a file, or - for standard input), one out."
    # Pure computation: no database, and no need to look whether the site is in order.
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="path of the JSON file, or - for standard input")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        try:
            answer = specification_request(load_request(read(file)))
        except LabCasesError as error:
            raise CommandError(error.message, returncode=2) from error
        self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2))


def read(file: str) -> bytes:
    """The document's bytes, at most a little more than the longest that is taken."""
    if file == "-":
        return sys.stdin.buffer.read(LONGEST_DOCUMENT + 1)
    try:
        with Path(file).open("rb") as source:
            return source.read(LONGEST_DOCUMENT + 1)
    except OSError as error:
        raise CommandError(f"file: {file} cannot be read ({error.strerror}).", returncode=2) from error
