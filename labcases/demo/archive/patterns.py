"""A told case as a pattern: all its rows as lines of text, with gaps for what differs from copy to copy."""

import datetime
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import models

from labcases.cases.choices import Act
from labcases.cases.models import Case, Disinfection, Event, Return, Stage, Step
from labcases.demo.archive.gaps import PATIENT_CODE, Gaps, number_gap, opened, text_gap
from labcases.demo.archive.links import Link, Linking
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
OF_THE_COPY = ("number", "patient_code", "log_digest")
ACTS_NOT_BROUGHT_OVER = (Act.SPECIFIED, Act.STEP_TICKED, Act.STEP_UNTICKED)


@dataclass(frozen=True)
class Table:
    """Of one table: which lines a copy adds, ready for `template % values`, and the names of their keys' gaps."""

    model: type[models.Model]
    template: str
    keys: tuple[str, ...]


@dataclass(frozen=True)
class Pattern:
    """`days` are the gaps for days with their distance from the day the case was opened, `people` those for people;
    `links` make the chain of its log, `salt` hides the patient's code in it."""

    opened_on: datetime.date
    tables: tuple[Table, ...]
    days: dict[str, int]
    people: dict[str, int]
    links: tuple[Link, ...]
    salt: str
    is_open: bool


def columns_of(model: type[models.Model]) -> list[str]:
    return [field.column for field in model._meta.concrete_fields]


def pattern_of(case: Case, *, whole: bool) -> Pattern:
    """The pattern of a told case; without its checklists and specifications unless `whole`."""
    return _Compiling(case, whole=whole).pattern()


class _Compiling:
    def __init__(self, case: Case, *, whole: bool) -> None:
        self.case, self.whole = case, whole
        self.gaps = Gaps(case.opened_at.astimezone(datetime.UTC).date())
        self.rows = {model: self._rows(model, way) for model, way in TABLES.items()}
        self.places = {
            model: {row.pk: place for place, row in enumerate(rows)} for model, rows in self.rows.items()
        }

    def pattern(self) -> Pattern:
        links = tuple(self._links())
        self.rows[Case][0].log_length = len(links)
        tables = tuple(self._table(model, rows) for model, rows in self.rows.items() if rows)
        salt = next((event.salt for event in self.rows[Event] if PATIENT_CODE in event.after), "")
        gaps = self.gaps
        return Pattern(gaps.opened_on, tables, gaps.days, gaps.people, links, salt, self.case.is_open)

    def _rows(self, model: type[models.Model], way: str) -> list[Any]:
        if not self.whole and model in NOT_BROUGHT_OVER:
            return []
        rows = model._base_manager.filter(**{way: self.case.pk}).order_by("pk")
        if not self.whole and model is Event:
            rows = rows.exclude(act__in=ACTS_NOT_BROUGHT_OVER)
        return [row if self.whole else _as_on_paper(row) for row in rows]

    def _links(self) -> Iterator[Link]:
        linking = Linking(self.gaps, self._gap_of, self._related_in_json)
        kinds = {model._meta.label_lower: {row.pk: row for row in rows} for model, rows in self.rows.items()}
        for place, event in enumerate(self.rows[Event]):
            event.position = place + 1
            rows = {label: [kinds[label][pk] for pk in said["ids"]] for label, said in event.covers.items()}
            yield linking.link(event, place, rows)
            event.digest = text_gap(f"e{place}")

    def _table(self, model: type[models.Model], rows: Iterable[Any]) -> Table:
        fields = model._meta.concrete_fields
        lines = ["\t".join(self._field(row, field) for field in fields) + "\n" for row in rows]
        keys = tuple(f"{model.__name__}{place}" for place in range(len(lines)))
        return Table(model, "".join(lines), keys)

    def _field(self, row: Any, field: Any) -> str:
        value = getattr(row, field.attname)
        if isinstance(row, Case) and field.name in OF_THE_COPY:
            return f"%({field.name})s"
        if value is None:
            return r"\N"
        if field.primary_key:
            return f"%({self._gap_of(type(row), value)})s"
        if field.is_relation:
            return opened(json.dumps(self._related_in_json(field.related_model, value)))
        if isinstance(field, models.DateField):
            return self._moment(value)
        if isinstance(field, models.JSONField):
            return opened(_escaped(json.dumps(self.gaps.in_json(value), ensure_ascii=False)))
        return opened(_escaped(_plain(value)))

    def _gap_of(self, model: type[models.Model], pk: int) -> str | None:
        places = self.places.get(model, {})
        return f"{model.__name__}{places[pk]}" if pk in places else None

    def _related_in_json(self, model: type[models.Model], pk: int) -> Any:
        if model is User:
            return number_gap(self.gaps.person(pk))
        if model is Practice:
            return number_gap("practice")
        gap = self._gap_of(model, pk)
        return number_gap(gap) if gap else pk

    def _moment(self, value: datetime.date) -> str:
        if not isinstance(value, datetime.datetime):
            return f"%({self.gaps.day(value)})s"
        utc = value.astimezone(datetime.UTC)
        return f"%({self.gaps.day(utc.date())})s {utc.time().isoformat()}"


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
    """Text as a line of COPY has it."""
    for sign, escape in (("\\", r"\\"), ("\t", r"\t"), ("\n", r"\n"), ("\r", r"\r")):
        text = text.replace(sign, escape)
    return text
