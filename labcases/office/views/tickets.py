"""The day's work tickets in one print."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from labcases.office.forms.cases import TicketsForm
from labcases.pages.answers import page, status_of
from labcases.pages.gates import for_managers
from labcases.tickets.actions import issue_tickets
from labcases.tickets.queries import stages_to_print


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def tickets(request: HttpRequest) -> HttpResponse:
    """What is at the bench and due, to be ticked off and printed; what cannot be printed is named and left out.

    Sending it twice prints the same papers: a ticket whose facts have not changed is not issued anew.
    """
    today = timezone.localdate()
    stages = list(stages_to_print(request.user, day=today))
    form = TicketsForm(request.POST or None, stages=stages)
    if form.is_valid():
        batch = issue_tickets(
            stages=form.chosen, paper=form.cleaned_data["paper"], by=request.user, now=timezone.now()
        )
        if not batch.failures:
            return as_pdf(batch.pdf, name=f"tickets-{today}.pdf")
        form.add_error(None, "Some tickets could not be printed. Untick them to print the others.")
        _say(form, batch)
    context = {"form": form, "stages": stages, "today": today}
    return page(request, "office/tickets.html", context, status=status_of(form))


def _say(form: TicketsForm, batch: Any) -> None:
    for failure in batch.failures:
        form.add_error("stage", f"{failure.stage}: {failure.message}")


def as_pdf(content: bytes, *, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
