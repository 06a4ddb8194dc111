"""The list of cases, the same list as a file, and giving one case out."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from labcases.cases.numbers import CaseNumberError, parse_case_number
from labcases.cases.queries import find_cases, reaches_the_archive, stages_seen
from labcases.office.forms.cases import CaseFilter
from labcases.office.forms.lists import ColumnsForm
from labcases.office.views.case_cells import cells, headings
from labcases.pages.addresses import back_to
from labcases.pages.answers import once, page
from labcases.pages.case_columns import Column, chosen_columns, sheet_header, sheet_rows
from labcases.pages.gates import for_managers
from labcases.pages.ids import joined_ids
from labcases.pages.paging import counted_page, stretch
from labcases.pages.sheets import CSV_TYPE, XLSX_TYPE, csv_sheet, xlsx_sheet
from labcases.people.queries import bench_people, columns_of, person_at_bench, views_seen_by
from labcases.people.refusals import Refused
from labcases.planning.actions.giving import give

PAGE_SIZE = 50
MOST_IN_A_FILE = 20_000


@dataclass(frozen=True)
class Asked:
    """What an address asks of the list: its filters, the saved view that it is, and the columns."""

    form: CaseFilter
    views: list[Any]
    view: Any
    columns: list[Column]


@require_safe
@for_managers
def cases(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    people = list(bench_people())
    asked = _asked(request, people)
    if not request.GET and (first := next((view for view in asked.views if view.is_default), None)):
        return redirect(address_of(first))
    wanted = asked.form.wanted()
    found, archive = find_cases(request.user, today=today, **wanted), reaches_the_archive(wanted["state"])
    if archive:
        listed = stretch(request, found, by="opened_at", size=PAGE_SIZE)
    else:
        listed = counted_page(request, found, size=PAGE_SIZE)
    context = {
        "form": asked.form,
        "filters": [asked.form[name] for name in ("state", "stage", "where", "practice", "person")],
        "page": listed,
        "archive": archive,
        "rows": _rows(listed, asked.columns, today=today),
        "columns": asked.columns,
        "view_here": asked.view,
        "views": [(view, address_of(view), view == asked.view) for view in asked.views],
        "column_form": ColumnsForm(initial={"column": [column.name for column in asked.columns]}),
        "save_address": _save_address(asked),
        "today": today,
        "people": people,
        "filtered": asked.form.is_narrowed(),
        "mistyped": _mistyped(wanted["text"]),
        "here": request.get_full_path(),
    }
    return page(request, "office/cases.html", context, fragment="office/_cases.html")


@require_safe
@for_managers
def export(request: HttpRequest, suffix: str) -> HttpResponse:
    """All cases that the list of the same address shows, in its columns and order."""
    if suffix not in ("csv", "xlsx"):
        raise Http404
    asked, today = _asked(request, bench_people()), timezone.localdate()
    found = find_cases(request.user, today=today, **asked.form.wanted())
    cases = list(found[: MOST_IN_A_FILE + 1])
    if len(cases) > MOST_IN_A_FILE:
        most = number_format(MOST_IN_A_FILE, force_grouping=True)
        raise Refused(_("A file takes {most} cases at most. Narrow the list first.").format(most=most))
    header, rows = sheet_header(asked.columns), sheet_rows(cases, asked.columns)
    content = csv_sheet(header, rows) if suffix == "csv" else xlsx_sheet(header, rows, title=_("Cases"))
    headers = {"Content-Disposition": f'attachment; filename="cases-{today}.{suffix}"'}
    return HttpResponse(content, content_type=CSV_TYPE if suffix == "csv" else XLSX_TYPE, headers=headers)


def address_of(view: Any) -> str:
    """A saved view's list; its filters stand in the address as if they had been chosen by hand."""
    return f"{reverse('office:cases')}?{urlencode({**view.filters, 'view': view.pk})}"


def _save_address(asked: Asked) -> str:
    """Where the list as it is shown gets a name."""
    columns = [("column", column.name) for column in asked.columns]
    return f"{reverse('office:save_view')}?{urlencode([('filters', urlencode(asked.form.kept())), *columns])}"


def _asked(request: HttpRequest, people: Iterable[Any]) -> Asked:
    form, views = CaseFilter(request.GET, people=people), views_seen_by(request.user)
    named = [view for view in views if str(view.pk) == request.GET.get("view")]
    view = next((view for view in named if view.filters == form.kept()), None)
    columns = chosen_columns(view.columns if view and view.columns else columns_of(request.user))
    return Asked(form, views, view, columns)


def _rows(
    cases: Iterable[Any], columns: Sequence[Column], *, today: datetime.date
) -> Iterator[dict[str, Any]]:
    shown = headings(columns)
    for case in cases:
        stage = case.current_stage
        yield {
            "case": case,
            "address": reverse("office:case", args=[case.number]),
            "mark": f"{stage.pk}-{stage.version}-{case.version}" if case.is_open and stage else "",
            "cells": cells(case, shown, today=today),
        }


def _mistyped(text: str) -> str:
    """Why a text that is nearly a case number cannot be one; empty for any other text."""
    bare = "".join(character for character in text if character.isalnum())
    if len(bare) != len("26004175") or not bare[:-1].isdigit():
        return ""
    try:
        parse_case_number(text)
    except CaseNumberError as error:
        return error.message
    return ""


@require_POST
@for_managers
def assign(request: HttpRequest) -> HttpResponse:
    """Give the named stages to one person, all of them or none."""
    to = person_at_bench(request.POST.get("to", ""))
    wanted = dict(joined_ids(request.POST.getlist("stage"), of=2))
    if not wanted:
        raise Refused(_("Tick at least one case to give out."))
    if to is None and request.POST.get("to") != "nobody":
        raise Refused(_("Choose who shall have the work."))

    def act() -> str:
        found = stages_seen(request.user, wanted)
        if len(found) < len(wanted):
            raise Refused(_("One of the ticked cases is not here any more; nothing was given out."))
        count = give(stages=found, to=to, by=request.user, now=timezone.now())
        messages.success(request, _given_in_words(count, to))
        return back_to(request, reverse("office:cases"))

    return once(request, act)


def _given_in_words(count: int, to: Any) -> str:
    if to is None:
        said = ngettext("{count} stage given to nobody.", "{count} stages given to nobody.", count)
        return said.format(count=count)
    said = ngettext("{count} stage given to {person}.", "{count} stages given to {person}.", count)
    return said.format(count=count, person=to.display_name)
