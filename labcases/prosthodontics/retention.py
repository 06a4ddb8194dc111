"""How long papers are kept: whole years, never a day less."""

from __future__ import annotations

from datetime import date, timedelta

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words


def keep_until(day: date, *, years: int) -> date:
    """The day `years` whole years after `day`; from a 29 February into a common year it is 1 March."""
    if not 1 <= years <= 100:
        raise InputError("years", years, Words("1 to 100 whole years"))
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def kept_since(today: date, *, years: int) -> date:
    """The last day whose papers have been kept for `years` whole years by `today`."""
    day = date(today.year - years, today.month, min(today.day, 28)) + timedelta(days=max(0, today.day - 28))
    return day if keep_until(day, years=years) <= today else day - timedelta(days=1)
