"""Case numbers, such as 26-00417-K: year, running number, and a check character by ISO 7064 MOD 37,36."""

import unicodedata

from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_37_36

from labcases.prosthodontics.errors import LabCasesError

BODY_LENGTH = 7


class CaseNumberError(LabCasesError):
    """A typed case number that cannot be one; `.message` says why."""


def case_number(year: int, running: int) -> str:
    body = f"{year % 100:02d}{running:05d}"
    return f"{body[:2]}-{body[2:]}-{mod_37_36.calc_check_digit(body)}"


def parse_case_number(text: str) -> str:
    """The case number meant by what was typed or scanned, in its written form.

    Spaces, dashes and lower case are forgiven; a wrong character never leads to another case.
    """
    bare = "".join(
        char for char in unicodedata.normalize("NFKC", text).upper() if char.isalnum() and char.isascii()
    )
    if len(bare) < BODY_LENGTH + 1 or not bare[:-1].isdigit():
        raise CaseNumberError(f"“{text[:40]}” is not a case number; one looks like {case_number(2026, 417)}.")
    try:
        mod_37_36.validate(bare)
    except ValidationError as error:
        raise CaseNumberError(
            f"“{text[:40]}”: the last character does not fit the digits before it. "
            "One of them is mistyped; read the number again."
        ) from error
    return f"{bare[:2]}-{bare[2:-1]}-{bare[-1]}"
