"""Taking in cases from a file: choose it, name its columns, look at the check, accept, and see what became of it."""

import hashlib
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.cases import queries
from labcases.cases.actions import importing
from labcases.cases.choices import IMPORTS_AT_WORK, ImportState, LineState
from labcases.office.forms.importing import AcceptForm, ColumnsMeanForm, FileForm
from labcases.pages.answers import answer_form, once, page, status_of, wants_fragment
from labcases.pages.gates import for_managers, version_seen
from labcases.pages.importing.columns import ORDER, guessed, targets
from labcases.pages.importing.jobs import begin
from labcases.pages.paging import stretch
from labcases.pages.sheets import CSV_TYPE, csv_sheet

SHOWN = 200
SAMPLE = 3
FILES_SHOWN = 25
LEFT = (LineState.FAULTY, LineState.UNUSUAL, LineState.READY, LineState.WAITING)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def imports(request: HttpRequest) -> HttpResponse:
    form = FileForm(request.POST or None, request.FILES or None)

    def act() -> str:
        kept = importing.keep_file(
            file_name=form.cleaned_data["file"].name,
            sha256=hashlib.sha256(form.content).hexdigest(),
            headings=form.table.headings,
            rows=form.table.rows,
            by=request.user,
            now=timezone.now(),
        )
        return reverse("office:import_columns", args=[kept.pk])

    context = {"form": form, "page": stretch(request, queries.imports(), by="made_at", size=FILES_SHOWN)}
    return answer_form(request, form, act) or page(
        request, "office/importing/imports.html", context, status=status_of(form)
    )


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def import_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what each column means; that begins the check."""
    found = _import_or_404(pk)
    known = targets(request.user, timezone.localdate())
    form = ColumnsMeanForm(
        request.POST or None,
        headings=found.headings,
        meanings=found.mapping or guessed(found.headings, known),
        known=known,
        initial={"practice": found.practice_id, "days_as": found.days_as},
    )

    def act() -> str:
        attempt = importing.name_columns(
            case_import=found,
            mapping=form.mapping,
            practice=form.cleaned_data["practice"],
            days_as=form.cleaned_data["days_as"],
            by=request.user,
            expected_version=version_seen(request),
        )
        begin(found, state=ImportState.CHECKING, attempt=attempt)
        return _page(found)

    # A row that was taken in keeps no cells.
    sample = list(found.lines.exclude(state=LineState.TAKEN)[:SAMPLE])
    context = {
        "import": found,
        "form": form,
        "columns": [(box, [line.cells[at] for line in sample]) for at, box in enumerate(form.columns)],
        "version": request.POST.get("version") or found.version,
        "may_change": found.state in (ImportState.MAPPING, ImportState.CHECKED),
    }
    return answer_form(request, form, act) or page(
        request, "office/importing/columns.html", context, status=status_of(form)
    )


@require_safe
@for_managers
def case_import(request: HttpRequest, pk: int) -> HttpResponse:
    """Where a file stands; as a fragment only how far the work on it is, which reloads the page once it is done."""
    found = _import_or_404(pk)
    answer = _import_page(request, found, _seen(found))
    if wants_fragment(request) and found.state not in IMPORTS_AT_WORK:
        answer["HX-Refresh"] = "true"
    return answer


@dataclass(frozen=True)
class Seen:
    """What was read of a file for the form that accepts it, and for the page that it stands on."""

    form: AcceptForm
    counts: dict[str, int]
    same_file: Any


def _seen(found: Any, data: Any = None) -> Seen:
    counts, same_file = queries.line_counts(found), queries.same_file_taken_in(found)
    again = ORDER not in found.mapping and same_file is not None
    return Seen(AcceptForm(data, counts=counts, again=again), counts, same_file)


def _import_page(request: HttpRequest, found: Any, seen: Seen) -> HttpResponse:
    counts, form = seen.counts, seen.form
    ready = counts.get(LineState.READY, 0) + counts.get(LineState.UNUSUAL, 0)
    faulty = counts.get(LineState.FAULTY, 0)
    context = {
        "import": found,
        "form": form,
        "counts": {state: counts.get(state, 0) for state in LineState.values},
        "ready": ready,
        "left": sum(counts.get(state, 0) for state in LEFT),
        "done": found.rows - counts.get(LineState.WAITING, 0),
        "at_work": found.state in IMPORTS_AT_WORK,
        "silent": queries.may_import_be_tried_again(found, now=timezone.now()),
        "all_at_once": not faulty and found.rows <= importing.MOST_AT_ONCE,
        "most_at_once": importing.MOST_AT_ONCE,
        "same_file": seen.same_file,
    }
    if not wants_fragment(request):
        context |= {
            "faulty": queries.import_lines(found, [LineState.FAULTY, LineState.UNUSUAL])[:SHOWN],
            "known": queries.import_lines(found, [LineState.KNOWN])[:SHOWN],
            "taken": queries.import_lines(found, [LineState.TAKEN])[:SHOWN],
            "shown": SHOWN,
        }
    return page(
        request,
        "office/importing/import.html",
        context,
        fragment="office/importing/_progress.html",
        status=status_of(form),
    )


@require_POST
@for_managers
def import_accept(request: HttpRequest, pk: int) -> HttpResponse:
    found = _import_or_404(pk)
    seen = _seen(found, request.POST)
    form = seen.form

    def act() -> str:
        attempt = importing.accept_import(
            case_import=found,
            one_by_one=request.POST.get("how") != "all",
            with_unusual=form.cleaned_data.get("with_unusual", False),
            signed=form.cleaned_data["signed"],
            by=request.user,
            expected_version=version_seen(request),
        )
        begin(found, state=ImportState.TAKING, attempt=attempt)
        return _page(found)

    return answer_form(request, form, act) or _import_page(request, found, seen)


@require_POST
@for_managers
def import_again(request: HttpRequest, pk: int) -> HttpResponse:
    found = _import_or_404(pk)

    def act() -> str:
        attempt = importing.try_import_again(case_import=found, by=request.user, now=timezone.now())
        begin(found, state=found.state, attempt=attempt)
        return _page(found)

    return once(request, act)


@require_POST
@for_managers
def import_drop(request: HttpRequest, pk: int) -> HttpResponse:
    found = _import_or_404(pk)

    def act() -> str:
        importing.drop_import(case_import=found, by=request.user, expected_version=version_seen(request))
        messages.success(
            request, _("What was not taken in from {file} is dropped.").format(file=found.file_name)
        )
        return reverse("office:imports")

    return once(request, act)


@require_safe
@for_managers
def import_rest(request: HttpRequest, pk: int) -> HttpResponse:
    """The rows that were not taken in, as they were, with what is wrong: to be put right and chosen again."""
    found = _import_or_404(pk)
    rows = [[*line.cells, _what_is_wrong(line)] for line in queries.import_lines(found, LEFT)]
    headers = {"Content-Disposition": f'attachment; filename="rows-left-{found.pk}.csv"'}
    content = csv_sheet([*found.headings, _("To put right")], rows)
    return HttpResponse(content, content_type=CSV_TYPE, headers=headers)


def _what_is_wrong(line: Any) -> str:
    return "; ".join(": ".join(filter(None, [fault["heading"], fault["words"]])) for fault in line.faults)


def _import_or_404(pk: int) -> Any:
    found = queries.import_by_id(pk) if pk < 2**63 else None
    if found is None:
        raise Http404
    return found


def _page(found: Any) -> str:
    return reverse("office:import", args=[found.pk])
