"""Writing a prescription, changing it, signing it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from labcases.cases.actions.intake import sign_prescription
from labcases.cases.choices import CaseState
from labcases.pages.answers import once
from labcases.pages.drafts import start_from_draft
from labcases.pages.gates import case_or_404, for_clinicians, version_seen
from labcases.pages.prescribing import answer_prescription, typed_prescription
from labcases.pages.prescription import PrescriptionForm, draft_of


@require_http_methods(["GET", "HEAD", "POST"])
@for_clinicians
def new_case(request: HttpRequest) -> HttpResponse:
    form = PrescriptionForm(typed_prescription(request), user=request.user, today=timezone.localdate())

    def act() -> str:
        case = form.take_in(by=request.user, now=timezone.now())
        _say_kept(request, case)
        return reverse("clinic:case", args=[case.number])

    return answer_prescription(
        request, form, act, "clinic/new_case.html", {"kept": start_from_draft(request, draft_of(), form)}
    )


@require_http_methods(["GET", "HEAD", "POST"])
@for_clinicians
def prescription(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    form = PrescriptionForm(
        typed_prescription(request), user=request.user, today=timezone.localdate(), case=case
    )

    def act() -> str:
        form.amend(by=request.user, now=timezone.now(), expected_version=version_seen(request))
        case.refresh_from_db(fields=["state"])
        _say_kept(request, case)
        return reverse("clinic:case", args=[case.number])

    kept = start_from_draft(request, draft_of(case), form, version=case.version)
    context = {"case": case, "version": request.POST.get("version") or case.version, "kept": kept}
    return answer_prescription(request, form, act, "clinic/prescription.html", context)


@require_POST
@for_clinicians
def sign(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)

    def act() -> str:
        version = version_seen(request)
        sign_prescription(case=case, by=request.user, expected_version=version, now=timezone.now())
        words = _("You signed the prescription of {number}.")
        messages.success(request, words.format(number=case.number))
        return reverse("clinic:case", args=[case.number])

    return once(request, act)


def _say_kept(request: HttpRequest, case: Any) -> None:
    if case.state == CaseState.INCOMPLETE:
        words = _("{number} is kept. It can go to the bench once it is complete.")
        messages.warning(request, words.format(number=case.number))
    else:
        messages.success(request, _("{number} is kept and complete.").format(number=case.number))
