from functools import partial
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from labcases.measurements.management.documents import FILE_HELP, REFUSED, answer_to, as_json
from labcases.prosthodontics.calculators import calculate, calculator, list_calculators
from labcases.prosthodontics.errors import LabCasesError


class Command(BaseCommand):
    help = (
        "Runs one calculator: its name and a JSON object in (a file, or - for standard input), one object "
        "out. With --list it names all calculators with their inputs, units and ranges."
    )
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", nargs="?", help="the calculator, one of those that --list names")
        parser.add_argument("file", nargs="?", help=FILE_HELP)
        parser.add_argument("--list", action="store_true", help="name all calculators with their inputs")

    def handle(self, *args: Any, name: str | None, file: str | None, **options: Any) -> None:
        if options["list"]:
            self.stdout.write(as_json([each.as_document() for each in list_calculators()]))
        elif name is None:
            raise CommandError("calculator: none named; --list names all of them.", returncode=REFUSED)
        else:
            self.stdout.write(_answer(name, file))


def _answer(name: str, file: str | None) -> str:
    """The name is looked at first, so that a slip in it does not wait for standard input."""
    try:
        calculator(name)
    except LabCasesError as error:
        raise CommandError(error.message, returncode=REFUSED) from error
    if file is None:
        raise CommandError("file: none given; a path, or - for standard input.", returncode=REFUSED)
    return answer_to(file, partial(calculate, name))
