"""Gaps in text: what differs from copy to copy, as names that `text % values` fills."""

import datetime
import re
from typing import Any

A_DAY = re.compile(r"(\d{4}-\d\d-\d\d)(T[\d:.]+\+00:00)?")
PERSON_KEYS = ("assignee",)
PATIENT_CODE = "patient_code"
COPIED_TEXTS = ("prescriber", PATIENT_CODE)
# In JSON a gap is a text; one for a number loses its quotation marks.
TEXT_GAP = re.compile(r"@@(\w+)@@")
NUMBER_GAP = re.compile(r'"@#(\w+)#@"')


def text_gap(name: str) -> str:
    return f"@@{name}@@"


def number_gap(name: str) -> str:
    return f"@#{name}#@"


def opened(json_text: str) -> str:
    """JSON with its gaps as `%` fills them; its own per cent signs are kept from being any."""
    return TEXT_GAP.sub(r"%(\1)s", NUMBER_GAP.sub(r"%(\1)s", json_text.replace("%", "%%")))


class Gaps:
    """Names of the days and people of one case; days by their distance from the day it was opened."""

    def __init__(self, opened_on: datetime.date) -> None:
        self.opened_on = opened_on
        self.days: dict[str, int] = {}
        self.people: dict[str, int] = {}

    def person(self, pk: int) -> str:
        self.people[f"u{pk}"] = pk
        return f"u{pk}"

    def day(self, day: datetime.date) -> str:
        distance = (day - self.opened_on).days
        name = f"d{distance}".replace("-", "m")
        self.days[name] = distance
        return name

    def in_json(self, value: Any, key: str = "") -> Any:
        """A JSON value with gaps for its days, its moments in UTC and its people."""
        if isinstance(value, dict):
            return {name: self.in_json(inner, name) for name, inner in value.items()}
        if isinstance(value, list):
            return [self.in_json(inner) for inner in value]
        if isinstance(value, int) and key in PERSON_KEYS:
            return number_gap(self.person(value))
        if isinstance(value, str) and key in COPIED_TEXTS:
            return text_gap(key)
        found = A_DAY.fullmatch(value) if isinstance(value, str) else None
        if found:
            return text_gap(self.day(datetime.date.fromisoformat(found[1]))) + (found[2] or "")
        return value
