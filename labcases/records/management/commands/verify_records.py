"""verify_records: whether every case's log still holds, from the command line."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from labcases.cases.models import Case
from labcases.cases.numbers import parse_case_number
from labcases.prosthodontics.errors import LabCasesError
from labcases.records.checking import check_cases

BROKEN, REFUSED = 1, 2


class Command(BaseCommand):
    help = (
        "Checks the log of every case, entry by entry, with the figures, specifications and papers that it stands "
        "for; names the first broken link of each case. Exit 1 if there is any."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--case", metavar="NUMBER", help="one case only")

    def handle(self, *args: Any, **options: Any) -> None:
        cases = entries = rows = broken = 0
        for checked in check_cases(_cases(options["case"])):
            cases, entries, rows = cases + 1, entries + checked.entries, rows + checked.rows
            if not checked.is_sound:
                broken += 1
                self.stdout.write(f"{checked.case.number}: {checked.broken}")
        self.stdout.write(
            f"Checked {_many(cases, 'case')}: {_many(entries, 'entry', 'entries')} of their logs and "
            f"{_many(rows, 'row')} that these stand for; {_many(cases - broken, 'case')} sound, {broken} not."
        )
        if broken:
            raise CommandError(f"{_many(broken, 'case')} not as written.", returncode=BROKEN)


def _cases(number: str | None) -> Any:
    found = Case.objects.order_by("pk")
    if number is None:
        return found.iterator(chunk_size=500)
    try:
        return [found.get(number=parse_case_number(number))]
    except LabCasesError as error:
        raise CommandError(error.message, returncode=REFUSED) from error
    except Case.DoesNotExist:
        raise CommandError(f"There is no case {number}.", returncode=REFUSED) from None


def _many(count: int, one: str, more: str = "") -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"
