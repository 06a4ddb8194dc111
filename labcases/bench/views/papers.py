from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from labcases.bench.views.sheet import sheet_address
from labcases.pages.gates import for_laboratory, stage_or_404
from labcases.tickets.actions import issue_ticket


@for_laboratory
def ticket(request: HttpRequest, pk: int) -> HttpResponse:
    """Print the stage's work ticket. The same facts give the same paper, so that sending twice prints one."""
    stage = stage_or_404(request, pk)
    if request.method != "POST":
        return redirect(sheet_address(stage))
    paper = request.POST.get("paper", "a4")
    issued = issue_ticket(stage=stage, by=request.user, now=timezone.now(), paper=paper)
    return redirect("ticket_pdf", issued.code)
