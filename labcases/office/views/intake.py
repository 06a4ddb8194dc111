"""Taking in a case, changing its prescription, and its signature."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from labcases.cases.actions.intake import sign_prescription
from labcases.cases.choices import CaseState
from labcases.pages.addresses import back_to
from labcases.pages.answers import once
from labcases.pages.drafts import start_from_draft
from labcases.pages.gates import case_or_404, for_managers, version_seen
from labcases.pages.prescribing import answer_prescription, typed_prescription
from labcases.pages.prescription import PrescriptionForm, draft_of


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def new_case(request: HttpRequest) -> HttpResponse:
    form = PrescriptionForm(typed_prescription(request), user=request.user, today=timezone.localdate())

    def act() -> str:
        case = form.take_in(by=request.user, now=timezone.now())
        _say_taken_in(request, case)
        return reverse("office:case", args=[case.number])

    context = {"kept": start_from_draft(request, draft_of(), form)}
    return answer_prescription(request, form, act, "office/new_case.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def prescription(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    form = PrescriptionForm(
        typed_prescription(request), user=request.user, today=timezone.localdate(), case=case
    )

    def act() -> str:
        form.amend(by=request.user, now=timezone.now(), expected_version=version_seen(request))
        messages.success(request, _("The prescription of {number} is kept.").format(number=case.number))
        return reverse("office:case", args=[case.number])

    kept = start_from_draft(request, draft_of(case), form, version=case.version)
    context = {"case": case, "version": request.POST.get("version") or case.version, "kept": kept}
    return answer_prescription(request, form, act, "office/prescription.html", context)


@require_POST
@for_managers
def sign(request: HttpRequest, number: str) -> HttpResponse:
    """The laboratory holds the signed paper."""
    case = case_or_404(request, number)

    def act() -> str:
        version = version_seen(request)
        sign_prescription(case=case, by=request.user, expected_version=version, now=timezone.now())
        said = _("{number} counts as signed: the signed paper is with the laboratory.")
        messages.success(request, said.format(number=case.number))
        return back_to(request, reverse("office:case", args=[case.number]))

    return once(request, act)


def _say_taken_in(request: HttpRequest, case: Any) -> None:
    if case.state == CaseState.INCOMPLETE:
        said = _("Case {number} is kept, but its prescription is incomplete.")
        messages.warning(request, said.format(number=case.number))
    else:
        said = _("Case {number} is taken in and complete on paper.")
        messages.success(request, said.format(number=case.number))
