"""JSON in, JSON out: what the computing commands share. They need no database and no settings of a site."""

import json
import sys
from collections.abc import Callable
from pathlib import Path

from django.core.management.base import CommandError

from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.specification.request import LONGEST_DOCUMENT, load_request

REFUSED = 2
FILE_HELP = "path of the JSON file, or - for standard input"


def answer_to(file: str, compute: Callable[[object], object]) -> str:
    """The answer to the document in a file, as JSON; bad input ends the command with one line."""
    try:
        return as_json(compute(load_request(read(file))))
    except LabCasesError as error:
        raise CommandError(error.message, returncode=REFUSED) from error


def as_json(answer: object) -> str:
    return json.dumps(answer, ensure_ascii=False, indent=2)


def read(file: str) -> bytes:
    """The document's bytes, at most a little more than the longest that is taken."""
    if file == "-":
        return sys.stdin.buffer.read(LONGEST_DOCUMENT + 1)
    try:
        with Path(file).open("rb") as source:
            return source.read(LONGEST_DOCUMENT + 1)
    except OSError as error:
        raise CommandError(f"file: {file} cannot be read ({error.strerror}).", returncode=REFUSED) from error
