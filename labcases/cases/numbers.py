"""Case numbers, such as 26-00417-D: year, running number, and a check character by ISO 7064 MOD 37,36."""

import itertools
import unicodedata

from django.utils.translation import gettext as _
from stdnum.iso7064 import mod_37_36

from labcases.prosthodontics.errors import LabCasesError

BODY_LENGTH = 7
LOOKALIKES = str.maketrans("OI", "01")


class CaseNumberError(LabCasesError):
    """A typed case number that cannot be one; `.message` says why."""


def case_number(year: int, running: int) -> str:
    body = f"{year % 100:02d}{running:05d}"
    return f"{body[:2]}-{body[2:]}-{mod_37_36.calc_check_digit(body)}"


def next_running(year: int, after: int) -> int:
    """The first running number past `after` whose case number cannot be taken for another."""
    following = itertools.count(after + 1)
    return next(running for running in following if not _misleads(_bare(case_number(year, running))))


def parse_case_number(text: str) -> str:
    """The case number meant by what was typed or scanned, in its written form.

    Spaces, dashes, lower case and the letters O and I for digits are forgiven; a wrong character or two
    neighbours swapped never lead to another case.
    """
    bare = _with_digits(_bare(text))
    if len(bare) < BODY_LENGTH + 1 or not bare[:-1].isdigit():
        raise CaseNumberError(
            _("“{text}” is not a case number; one looks like {example}.").format(
                text=text[:40], example=case_number(2026, 417)
            )
        )
    if not mod_37_36.is_valid(bare) or _has_a_twin(bare):
        raise CaseNumberError(
            _(
                "“{text}”: the last character does not fit the digits before it. "
                "One of them is mistyped; read the number again."
            ).format(text=text[:40])
        )
    return f"{bare[:2]}-{bare[2:-1]}-{bare[-1]}"


def _bare(text: str) -> str:
    folded = unicodedata.normalize("NFKC", text).upper()
    return "".join(char for char in folded if char.isalnum() and char.isascii())


def _with_digits(bare: str) -> str:
    """With O and I read as the digits that they look like, save where the letter is the right check character."""
    number = bare[:-1].translate(LOOKALIKES) + bare[-1:]
    return number if mod_37_36.is_valid(number) else number.translate(LOOKALIKES)


def _misleads(bare: str) -> bool:
    """Whether a number is never given out: its check character looks like a digit, or it has a twin."""
    return bare[-1] in "OI" or _has_a_twin(bare)


def _has_a_twin(bare: str) -> bool:
    """Whether two neighbours swapped give a number that fits as well.

    The check character finds every wrong character, but by its arithmetic not every swap: in some years one
    number in ten has such a twin.
    """
    swapped = (bare[:n] + bare[n + 1] + bare[n] + bare[n + 2 :] for n in range(len(bare) - 1))
    return any(twin != bare and twin[:-1].isdigit() and mod_37_36.is_valid(twin) for twin in swapped)
