"""The day's work tickets in one print."""

import datetime
from collections.abc import Sequence
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.office.forms.cases import TicketsForm
from labcases.pages.answers import once, page, status_of
from labcases.pages.gates import for_managers
from labcases.tickets.actions import issue_tickets
from labcases.tickets.actions.printing import ask_for_papers, print_again
from labcases.tickets.choices import AT_WORK, RunState
from labcases.tickets.queries import (
    is_silent,
    lines_of,
    print_run_by_id,
    print_runs_since,
    runs_asked_together,
    stages_to_print,
)

# So many papers take some seconds, for which a page may be waited.
AT_ONCE = 5
LATELY, FEW = datetime.timedelta(days=1), 5


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def tickets(request: HttpRequest) -> HttpResponse:
    """What is at the bench and due, to be ticked off and printed; what cannot be printed is named and left out.

    Sending it twice prints the same papers: a ticket whose facts have not changed is not issued anew. More than
    a few are made in the background.
    """
    today = timezone.localdate()
    stages = list(stages_to_print(request.user, day=today))
    form = TicketsForm(request.POST or None, stages=stages)
    if form.is_valid() and len(form.chosen) > AT_ONCE:
        paper = form.cleaned_data["paper"]
        return once(request, lambda: ask_in_background(request, form.chosen, paper=paper))
    if form.is_valid():
        batch = issue_tickets(
            stages=form.chosen, paper=form.cleaned_data["paper"], by=request.user, now=timezone.now()
        )
        if not batch.failures:
            return as_pdf(batch.pdf, name=f"tickets-{today}.pdf")
        form.add_error(None, _("Some tickets could not be printed. Untick them to print the others."))
        _say(form, batch)
    context = {
        "form": form,
        "stages": stages,
        "today": today,
        "runs": print_runs_since(timezone.now() - LATELY)[:FEW],
    }
    return page(request, "office/tickets.html", context, status=status_of(form))


def ask_in_background(request: HttpRequest, stages: Sequence[Any], *, paper: str) -> str:
    """The address of the page that shows how far it is; it leads to the others where the papers are many."""
    first, *_others = ask_for_papers(stages=stages, paper=paper, by=request.user, now=timezone.now())
    return _address(first)


@require_safe
@for_managers
def print_run(request: HttpRequest, pk: int) -> HttpResponse:
    """How far it is, with every paper that is made already; as a fragment the same, until it is done."""
    run, now = _run_or_404(pk), timezone.now()
    lines = lines_of(run)
    silent, together = is_silent(run, now=now), runs_asked_together(run)
    at_work = run.state in AT_WORK and not silent
    waited_for = next((each for each in together if each.state in AT_WORK and each != run), None)
    context = {
        "run": run,
        "lines": lines,
        "made": sum(line.ticket_id is not None for line in lines),
        "failed": [line for line in lines if line.failure],
        "at_work": at_work,
        "together": together if len(together) > 1 else (),
        "looks_again": at_work or (waited_for is not None and not is_silent(waited_for, now=now)),
        "silent": silent,
        "whole": run.state == RunState.READY and run.pages,
    }
    return page(request, "office/print_run.html", context, fragment="office/_print_run.html")


@require_safe
@for_managers
def print_run_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    run = _run_or_404(pk)
    if not run.pages:
        raise Http404
    return as_pdf(bytes(run.pdf), name=f"tickets-{timezone.localdate(run.asked_at)}-{run.pk}.pdf")


@require_POST
@for_managers
def print_run_again(request: HttpRequest, pk: int) -> HttpResponse:
    run = _run_or_404(pk)

    def act() -> str:
        print_again(run=run, by=request.user, now=timezone.now())
        return _address(run)

    return once(request, act)


def _run_or_404(pk: int) -> Any:
    run = print_run_by_id(pk) if pk < 2**63 else None
    if run is None:
        raise Http404
    return run


def _address(run: Any) -> str:
    return reverse("office:print_run", args=[run.pk])


def _say(form: TicketsForm, batch: Any) -> None:
    for failure in batch.failures:
        form.add_error("stage", f"{failure.stage}: {failure.message}")


def as_pdf(content: bytes, *, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
