"""However a command on archives ends, it ends with one line."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.management.base import CommandError
from django.db import Error

from labcases.operation.archive.manifest import Manifest
from labcases.prosthodontics.errors import LabCasesError, one_line

REFUSED = 2


@contextmanager
def refusals_in_one_line() -> Iterator[None]:
    try:
        yield
    except LabCasesError as error:
        raise CommandError(error.message, returncode=REFUSED) from error
    except Error as error:
        first = str(error).strip().split("\n")[0]
        raise CommandError(one_line(f"The database refused: {first}"), returncode=REFUSED) from error


def contents(manifest: Manifest) -> str:
    made = f"{manifest.created_at:%Y-%m-%d %H:%M} UTC"
    count = len(manifest.files)
    files = f" and {count} {'file' if count == 1 else 'files'}" if count else ""
    return f"{manifest.rows} rows of {len(manifest.tables)} tables{files}, of {made}"
