"""Copies of patterns: each on other days, under its own number, for another practice, by other hands."""

import datetime
import random
from collections import defaultdict
from dataclasses import dataclass

from django.db import models

from labcases.cases.numbers import case_number, next_running
from labcases.demo.archive.links import chain
from labcases.demo.archive.patterns import TABLES, Pattern, columns_of
from labcases.demo.archive.tables import add_lines, first_free_key
from labcases.people.models import User

AT_ONCE = 400


@dataclass(frozen=True)
class People:
    """Whom copies are given to: those of the laboratory in turn, prescribers by how much work each sends."""

    technicians: tuple[User, ...]
    prescribers: tuple[User, ...]

    def sent_by(self, dice: random.Random) -> User:
        # A few practices send much and many send little: the n-th prescriber's share goes with 1 / (n + 5).
        weights = [1 / (place + 5) for place in range(len(self.prescribers))]
        return dice.choices(self.prescribers, weights)[0]


class Copier:
    """Adds copies to the tables, some hundred cases at a time; `numbers` are the last running ones of each year."""

    def __init__(self, people: People, *, numbers: dict[int, int], dice: random.Random) -> None:
        self.people, self.numbers, self.dice = people, numbers, dice
        self.free = {model: first_free_key(model) for model in TABLES}
        self.lines: dict[type[models.Model], list[str]] = defaultdict(list)
        self.cases = 0
        self.places = {person.pk: place for place, person in enumerate(people.technicians)}
        self.prescribers = {person.pk for person in people.prescribers}

    def copy(self, pattern: Pattern, *, opened_on: datetime.date) -> None:
        """One more case that goes the way of the pattern, opened on another day."""
        prescriber = self.people.sent_by(self.dice)
        values: dict[str, object] = {
            "number": self._number(opened_on.year),
            "patient_code": f"{prescriber.practice.code}-{self.cases + 1000}" if prescriber.practice else "",
            "practice": prescriber.practice_id,
            "prescriber": prescriber.display_name,
            **self._hands(pattern, prescriber),
        }
        start = opened_on.toordinal()
        for name, distance in pattern.days.items():
            values[name] = datetime.date.fromordinal(start + distance).isoformat()
        for table in pattern.tables:
            first = self.free[table.model]
            self.free[table.model] = first + len(table.keys)
            values.update(zip(table.keys, range(first, first + len(table.keys)), strict=True))
        values["log_digest"] = chain(pattern.links, values, salt=pattern.salt)
        for table in pattern.tables:
            self.lines[table.model].append(table.template % values)
        self.cases += 1
        if self.cases % AT_ONCE == 0:
            self.flush()

    def flush(self) -> None:
        for model in TABLES:
            if self.lines[model]:
                add_lines(model, columns_of(model), self.lines[model])
        self.lines.clear()

    def _number(self, year: int) -> str:
        self.numbers[year] = next_running(year, self.numbers.get(year, 0))
        return case_number(year, self.numbers[year])

    def _hands(self, pattern: Pattern, prescriber: User) -> dict[str, int]:
        """Technicians move on by the same number of places; who prescribed it prescribed all of it."""
        technicians, on = self.people.technicians, self.dice.randrange(len(self.people.technicians))
        found = {}
        for name, pk in pattern.people.items():
            if pk in self.places:
                found[name] = technicians[(self.places[pk] + on) % len(technicians)].pk
            else:
                found[name] = prescriber.pk if pk in self.prescribers else pk
        return found
