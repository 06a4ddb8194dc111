"""The columns that a list of cases can have: the same on the screen and in a file."""

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import CaseState
from labcases.cases.models import Case
from labcases.cases.rules import laboratory_day
from labcases.pages.sheets import Value

Read = Callable[[Case], Value]


@dataclass(frozen=True)
class Column:
    """One column: its name in addresses, its heading, and its value; `also` are what a file keeps apart."""

    name: str
    label: str
    value: Read
    also: tuple[tuple[str, Read], ...] = ()


def _stage(case: Case) -> Value:
    if not case.is_open or case.current_stage is None:
        return str(case.get_state_display())
    return str(case.current_stage.label)


def _stage_state(case: Case) -> Value:
    if case.state == CaseState.INCOMPLETE or not case.is_open or case.current_stage is None:
        return str(case.get_state_display())
    return str(case.current_stage.get_state_display())


def _place(case: Case) -> Value:
    return str(case.get_location_display()) if case.is_open else ""


def _person(case: Case) -> Value:
    stage = case.current_stage
    if not case.is_open or stage is None or not stage.is_in_laboratory:
        return ""
    return str(stage.assignee) if stage.assignee else str(_("Nobody yet"))


def _due(case: Case) -> Value:
    return case.current_stage.due_on if case.is_open and case.current_stage else None


def _taken_in(case: Case) -> datetime.date:
    return laboratory_day(case.opened_at)


COLUMNS = {
    column.name: column
    for column in (
        Column("practice", _("Practice"), lambda case: str(case.practice)),
        Column("prescriber", _("Prescriber"), lambda case: str(case.prescriber or "")),
        Column("order", _("Order number"), lambda case: case.order_number),
        Column("kind", _("Kind of work"), lambda case: str(case.get_kind_display())),
        Column("arches", _("Arches"), lambda case: str(case.get_arches_display())),
        Column("stage", _("Stage"), _stage, also=((_("State"), _stage_state),)),
        Column("place", _("Place"), _place),
        Column("person", _("Person"), _person),
        Column("due", _("Due"), _due),
        Column("taken_in", _("Taken in"), _taken_in),
        Column("age", _("Age in years"), lambda case: case.patient_age),
        Column("shade", _("Shade"), lambda case: case.shade),
        Column("base_material", _("Base material"), lambda case: case.base_material),
    )
}
USUAL = ("practice", "stage", "place", "person", "due")
# Stands at the beginning of every list, in one cell on the screen.
CASE = Column(
    "case", _("Case"), lambda case: case.number, also=((_("Patient’s code"), lambda case: case.patient_code),)
)


def chosen_columns(names: Iterable[str]) -> list[Column]:
    """The named columns, each once, without what is none; the usual ones where none is left."""
    known = [COLUMNS[name] for name in dict.fromkeys(names) if name in COLUMNS]
    return known or [COLUMNS[name] for name in USUAL]


def sheet_header(columns: Sequence[Column]) -> list[str]:
    return [str(heading) for column in (CASE, *columns) for heading, _ in _parts(column)]


def sheet_rows(cases: Iterable[Case], columns: Sequence[Column]) -> Iterable[list[Value]]:
    reads = [read for column in (CASE, *columns) for _, read in _parts(column)]
    for case in cases:
        yield [read(case) for read in reads]


def _parts(column: Column) -> tuple[tuple[str, Read], ...]:
    return ((column.label, column.value), *column.also)
