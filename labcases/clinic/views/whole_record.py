from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from labcases.pages import whole_record
from labcases.pages.gates import case_or_404, for_clinicians


@require_safe
@for_clinicians
def case_record(request: HttpRequest, number: str) -> HttpResponse:
    return whole_record.record_page(request, case_or_404(request, number), template="clinic/case_record.html")


@require_safe
@for_clinicians
def case_record_pdf(request: HttpRequest, number: str) -> HttpResponse:
    return whole_record.record_paper(case_or_404(request, number), for_practice=True)


@require_safe
@for_clinicians
def case_record_json(request: HttpRequest, number: str) -> HttpResponse:
    return whole_record.record_file(case_or_404(request, number), for_practice=True)
