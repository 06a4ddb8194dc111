"""The pages that belong to no one audience: the way home, the scan box."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from labcases.cases.numbers import CaseNumberError
from labcases.measurements.standards import schools_in_force
from labcases.pages.answers import page
from labcases.pages.gates import ticket_or_404
from labcases.pages.published_display import guidance_for
from labcases.pages.scanning import (
    NotFound,
    address_of_number,
    address_of_paper,
    is_meant_as_number,
    paper_of_code,
)
from labcases.people.choices import Role
from labcases.people.refusals import Refused
from labcases.tickets.codes import CodeError

LONGEST_SCAN = 400
HOMES = {Role.MANAGER: "office:today", Role.TECHNICIAN: "bench:work", Role.CLINICIAN: "clinic:cases"}


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    return redirect(HOMES[Role(request.user.role)])


@require_GET
def display_guidance(request: HttpRequest) -> HttpResponse:
    """What publications say about display at rest, for the age, sex and lip that a prescription names so far."""
    guidance = guidance_for(
        age=request.GET.get("patient_age"),
        sex=request.GET.get("patient_sex"),
        lip_length=request.GET.get("figure_upper_lip_length"),
        first=schools_in_force(timezone.localdate()).display_guidance,
    )
    template, fragment = "pages/prescription/guidance.html", "pages/prescription/_guidance.html"
    return page(request, template, {"guidance": guidance}, fragment=fragment)


@require_GET
def scan(request: HttpRequest) -> HttpResponse:
    """What was scanned or typed into a scan box leads to its sheet; what leads nowhere says why and stays."""
    text = request.GET.get("code", "")[:LONGEST_SCAN].strip()
    return _scanned(request, text) if text else _scan_page(request, text)


@require_GET
def ticket(request: HttpRequest, code: str) -> HttpResponse:
    """The address in a ticket's scan mark, opened by a telephone's camera."""
    return _scanned(request, code)


@require_GET
def ticket_pdf(request: HttpRequest, code: str) -> HttpResponse:
    """A ticket's bytes as they were issued."""
    found = ticket_or_404(request, code)
    if not found.pdf:
        raise Refused(_("This paper was erased together with the patient’s data."))
    response = HttpResponse(bytes(found.pdf), content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{found.file_name}"'
    return response


def _scanned(request: HttpRequest, text: str) -> HttpResponse:
    try:
        if is_meant_as_number(text):
            return redirect(address_of_number(request.user, text))
        paper = paper_of_code(request.user, text)
    except (CaseNumberError, CodeError) as mistyped:
        return _scan_page(request, text, words=mistyped.message, status=422)
    except NotFound as unknown:
        return _scan_page(request, text, words=unknown.message, status=404)
    address = address_of_paper(request.user, paper)
    if paper.is_old and not request.user.is_clinician:
        return page(request, "pages/old_paper.html", {"paper": paper, "address": address})
    return redirect(address)


def _scan_page(request: HttpRequest, text: str, *, words: str = "", status: int = 200) -> HttpResponse:
    context = {"text": text, "words": words, "scan_focus": not request.user.is_clinician}
    return page(request, "pages/scan.html", context, status=status)
