"""A told case as a pattern: all its rows as lines of text, with gaps for what differs from copy to copy."""

import datetime
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import models

from labcases.cases.choices import Act
from labcases.cases.models import Case, Disinfection, Event, Return, Stage, Step
from labcases.measurements.models import PrescribedDimension, Reading, Specification, SpecificationLine
from labcases.people.models import Practice, User

# Each table of a case with the way from its rows to the case.
TABLES: dict[type[models.Model], str] = {
    Case: "pk",
    Stage: "case",
    Return: "case",
    Step: "stage__case",
    Disinfection: "case",
    Specification: "case",
    SpecificationLine: "specification__case",
    PrescribedDimension: "case",
    Reading: "case",
    Event: "case",
}
# What a laboratory that kept its figures on paper before does not have of its older cases.
NOT_BROUGHT_OVER = (Step, Specification, SpecificationLine)
ACTS_NOT_BROUGHT_OVER = (Act.SPECIFIED, Act.STEP_TICKED, Act.STEP_UNTICKED)
PERSON_KEYS = ("assignee",)
A_DAY = re.compile(r"\d{4}-\d\d-\d\d")
GAP = re.compile(r"@@(\w+)@@")
BARE_GAP = re.compile(r'"@@(u\d+)@@"')


@dataclass(frozen=True)
class Table:
    """Of one table: which lines a copy adds, ready for `template % values`, and the names of their keys' gaps."""

    model: type[models.Model]
    template: str
    keys: tuple[str, ...]


@dataclass(frozen=True)
class Pattern:
    """`days` are the gaps for days with their distance from the day the case was opened, `people` those for people."""

    opened_on: datetime.date
    tables: tuple[Table, ...]
    days: dict[str, int]
    people: dict[str, int]
    is_open: bool


def columns_of(model: type[models.Model]) -> list[str]:
    return [field.column for field in model._meta.concrete_fields]


def pattern_of(case: Case, *, whole: bool) -> Pattern:
    """The pattern of a told case; without its checklists and specifications unless `whole`."""
    return _Compiling(case, whole=whole).pattern()


class _Compiling:
    def __init__(self, case: Case, *, whole: bool) -> None:
        self.case, self.whole = case, whole
        self.opened_on = case.opened_at.astimezone(datetime.UTC).date()
        self.days: dict[str, int] = {}
        self.people: dict[str, int] = {}
        self.rows = {model: self._rows(model, way) for model, way in TABLES.items()}
        self.places = {
            model: {row.pk: place for place, row in enumerate(rows)} for model, rows in self.rows.items()
        }

    def pattern(self) -> Pattern:
        tables = tuple(self._table(model, rows) for model, rows in self.rows.items() if rows)
        return Pattern(self.opened_on, tables, self.days, self.people, self.case.is_open)

    def _rows(self, model: type[models.Model], way: str) -> list[Any]:
        if not self.whole and model in NOT_BROUGHT_OVER:
            return []
        rows = model._base_manager.filter(**{way: self.case.pk}).order_by("pk")
        if not self.whole and model is Event:
            rows = rows.exclude(act__in=ACTS_NOT_BROUGHT_OVER)
        return [row if self.whole else _as_on_paper(row) for row in rows]

    def _table(self, model: type[models.Model], rows: Iterable[Any]) -> Table:
        fields = model._meta.concrete_fields
        lines = ["\t".join(self._field(row, field) for field in fields) + "\n" for row in rows]
        keys = tuple(f"{model.__name__}{place}" for place in range(len(lines)))
        return Table(model, "".join(lines), keys)

    def _field(self, row: Any, field: Any) -> str:
        value = getattr(row, field.attname)
        if isinstance(row, Case) and field.name in ("number", "patient_code"):
            return f"%({field.name})s"
        if value is None:
            return r"\N"
        if field.primary_key:
            return self._key(type(row), value)
        if field.is_relation:
            return self._related(field.related_model, value)
        if isinstance(field, models.DateField):
            return self._moment(value)
        if isinstance(field, models.JSONField):
            return self._json(value)
        return _escaped(_plain(value))

    def _key(self, model: type[models.Model], pk: int) -> str:
        return f"%({model.__name__}{self.places[model][pk]})s"

    def _related(self, model: type[models.Model], pk: int) -> str:
        if model is User:
            return f"%({self._person(pk)})s"
        if model is Practice:
            return "%(practice)s"
        return self._key(model, pk) if model in self.places else str(pk)

    def _person(self, pk: int) -> str:
        self.people[f"u{pk}"] = pk
        return f"u{pk}"

    def _day(self, day: datetime.date) -> str:
        distance = (day - self.opened_on).days
        name = f"d{distance}".replace("-", "m")
        self.days[name] = distance
        return name

    def _moment(self, value: datetime.date) -> str:
        if not isinstance(value, datetime.datetime):
            return f"%({self._day(value)})s"
        utc = value.astimezone(datetime.UTC)
        return f"%({self._day(utc.date())})s {utc.time().isoformat()}"

    def _json(self, value: Any) -> str:
        """JSON with gaps for the days and the people in it: days are text there, people numbers."""
        text = _escaped(json.dumps(self._gapped(value), ensure_ascii=False))
        return GAP.sub(r"%(\1)s", BARE_GAP.sub(r"%(\1)s", text))

    def _gapped(self, value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {name: self._gapped(inner, name) for name, inner in value.items()}
        if isinstance(value, list):
            return [self._gapped(inner) for inner in value]
        if isinstance(value, int) and key in PERSON_KEYS:
            return f"@@{self._person(value)}@@"
        if isinstance(value, str) and A_DAY.fullmatch(value):
            return f"@@{self._day(datetime.date.fromisoformat(value))}@@"
        return value


def _as_on_paper(row: Any) -> Any:
    """A row as it is without specifications: a figure was written down, and held against nothing."""
    if isinstance(row, Reading):
        row.line_id, row.verdict, row.verdict_words = None, "", ""
    if isinstance(row, Event) and row.after.get("verdict"):
        row.after = {**row.after, "verdict": ""}
    return row


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return str(int(value))
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def _escaped(text: str) -> str:
    """Text as a line of COPY has it, and with its per cent signs kept from being gaps."""
    for sign, escape in (("\\", r"\\"), ("\t", r"\t"), ("\n", r"\n"), ("\r", r"\r"), ("%", "%%")):
        text = text.replace(sign, escape)
    return text
