"""The cells of the list of cases: written here, since in a template those of fifty rows take half of the page."""

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from labcases.cases.choices import CaseState, StageState
from labcases.pages.case_columns import Column
from labcases.pages.sheets import Value
from labcases.pages.templatetags.trade import day, due, icon, state

EMPTY = mark_safe(' class="is-empty"')


@dataclass(frozen=True)
class Heading:
    """A column with its label in the reader's language, looked up once and not with every cell."""

    name: str
    label: str
    value: Callable[[Any], Value]


def headings(columns: Sequence[Column]) -> list[Heading]:
    return [Heading(column.name, str(column.label), column.value) for column in columns]


def cells(case: Any, columns: Sequence[Heading], *, today: datetime.date) -> SafeString:
    """A table cell for each column, with what a phone's card writes before it."""
    contents = [(column.label, _content(case, column, today)) for column in columns]
    return format_html_join(
        "",
        '<td data-label="{}"{}>{}</td>',
        ((label, "" if content else EMPTY, content) for label, content in contents),
    )


def _content(case: Any, column: Heading, today: datetime.date) -> Value:
    value = column.value(case)
    if column.name == "due":
        return due(value, today) if case.is_open else ""
    if column.name == "stage":
        return _stage(case, value)
    if isinstance(value, datetime.date):
        return day(value)
    return value or ""


def _stage(case: Any, name: Value) -> SafeString:
    if case.state == CaseState.INCOMPLETE:
        return format_html('<span class="due due-late">{}{}</span>', icon("warn"), _("Incomplete"))
    stage, notes = case.current_stage, []
    if case.state == CaseState.OPEN and stage and stage.state != StageState.WAITING:
        notes.append(format_html('<span class="row-note">{}</span>', state(stage.state)))
    if case.state == CaseState.OPEN and not case.signed_at:
        words = _("Not signed since a change")
        notes.append(format_html('<span class="row-note due-late">{} {}</span>', icon("warn"), words))
    return format_html("{}{}", name, mark_safe("".join(notes)))
