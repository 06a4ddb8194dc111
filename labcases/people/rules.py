"""What holds for sessions and for the numbers that people choose, as plain values."""

import datetime
import itertools
from dataclasses import dataclass

from django.utils.translation import gettext as _

PIN_LENGTH = range(4, 9)


@dataclass(frozen=True)
class Limits:
    """How long a session may lie idle, and how long it lasts at most."""

    idle: datetime.timedelta
    longest: datetime.timedelta


def ending_of(
    *, began_at: datetime.datetime, seen_at: datetime.datetime, now: datetime.datetime, limits: Limits
) -> str:
    """Why a session is over: "longest", "idle", or "" while it goes on. The longest comes first: it ends for good."""
    if now - began_at >= limits.longest:
        return "longest"
    return "idle" if now - seen_at >= limits.idle else ""


def pin_fault(pin: str) -> str:
    """What speaks against this PIN, in words for whoever chose it; "" for a good one. Common practice, no source."""
    if not (pin.isascii() and pin.isdigit() and len(pin) in PIN_LENGTH):
        return _("A PIN has four to eight digits and nothing else.")
    if _repeats_itself(pin) or _counts(pin) or _is_a_year(pin) or pin in ("2580", "0852", "1470", "0741"):
        return _("This PIN is among the first that anybody would try. Choose one without a pattern.")
    return ""


def _repeats_itself(pin: str) -> bool:
    return any(pin == (pin[:n] * len(pin))[: len(pin)] for n in range(1, len(pin) // 2 + 1))


def _counts(pin: str) -> bool:
    """Up or down by one each time, over the end of the row of digits too."""
    steps = {(int(after) - int(before)) % 10 for before, after in itertools.pairwise(pin)}
    return steps in ({1}, {9})


def _is_a_year(pin: str) -> bool:
    return len(pin) == 4 and pin[:2] in ("19", "20")
