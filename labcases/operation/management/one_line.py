"""However a command on archives ends, it ends with one line."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.management.base import CommandError
from django.db import Error

from labcases.operation.archive.manifest import Manifest
from labcases.operation.refusals import first_line
from labcases.prosthodontics.errors import LabCasesError

REFUSED = 2


@contextmanager
def refusals_in_one_line() -> Iterator[None]:
    try:
        yield
    except LabCasesError as error:
        raise CommandError(error.message, returncode=REFUSED) from error
    except Error as error:
        raise CommandError(f"The database refused: {first_line(error)}", returncode=REFUSED) from error


def contents(manifest: Manifest) -> str:
    made = f"{manifest.created_at:%Y-%m-%d %H:%M} UTC"
    count = len(manifest.files)
    files = f" and {count} {'file' if count == 1 else 'files'}" if count else ""
    return f"{manifest.rows} rows of {len(manifest.tables)} tables{files}, of {made}"
