from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from labcases.pages.gates import case_or_404, for_clinicians
from labcases.pages.recording import record_page


@require_http_methods(["GET", "HEAD", "POST"])
@for_clinicians
def record(request: HttpRequest, number: str) -> HttpResponse:
    """The clinic stage at which the case stands: its figures, findings, and what becomes of the work."""
    case = case_or_404(request, number)
    leads_to = reverse("clinic:case", args=[case.number])
    return record_page(request, case, template="clinic/record.html", leads_to=leads_to)
