"""A case's complete record, what has been kept long enough, and the erasing of a patient's data."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from labcases.office.forms.records import ErasureForm
from labcases.pages import whole_record
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.gates import case_or_404, for_managers, version_seen
from labcases.pages.paging import stretch
from labcases.records.actions import erase_patient as erase
from labcases.records.queries import cases_kept_long_enough, retention_years

ON_A_PAGE = 50


@require_safe
@for_managers
def case_record(request: HttpRequest, number: str) -> HttpResponse:
    return whole_record.record_page(request, case_or_404(request, number), template="office/case_record.html")


@require_safe
@for_managers
def case_record_pdf(request: HttpRequest, number: str) -> HttpResponse:
    return whole_record.record_paper(case_or_404(request, number), for_practice=False)


@require_safe
@for_managers
def case_record_json(request: HttpRequest, number: str) -> HttpResponse:
    return whole_record.record_file(case_or_404(request, number), for_practice=False)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def erase_patient(request: HttpRequest, number: str) -> HttpResponse:
    """Ask why, say what goes and what stays, and erase; only a case that was kept long enough."""
    case, now = case_or_404(request, number), timezone.now()
    form = ErasureForm(request.POST or None)

    def act() -> str:
        reason, version = form.cleaned_data["reason"], version_seen(request)
        erase(case=case, reason=reason, by=request.user, expected_version=version, now=now)
        words = _("The patient’s data of {number} are erased.")
        messages.success(request, words.format(number=case.number))
        return reverse("office:case_record", args=[case.number])

    answer = answer_form(request, form, act)
    context = {
        "case": case,
        "form": form,
        "version": request.POST.get("version") or case.version,
        **whole_record.keeping(case, timezone.localdate(now)),
    }
    return answer or page(request, "office/erase_patient.html", context, status=status_of(form))


@require_safe
@for_managers
def retention(request: HttpRequest) -> HttpResponse:
    """Closed cases whose time of keeping is over; nothing here happens by itself."""
    today = timezone.localdate()
    due = cases_kept_long_enough(request.user, today=today)
    listed = stretch(request, due, by="opened_at", size=ON_A_PAGE, oldest_first=True)
    context = {"page": listed, "years": retention_years(today)}
    return page(request, "office/retention.html", context)
