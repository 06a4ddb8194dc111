"""How a prescription is shown and its form answered, in the office and in the clinic."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from labcases.pages.answers import page, status_of
from labcases.pages.drafts import answer_and_keep, keep_changes, only_keeps
from labcases.pages.prescription import PrescriptionForm, draft_of
from labcases.prosthodontics.wording import in_a_sentence


def typed_prescription(request: HttpRequest) -> Any:
    return request.POST if request.method == "POST" else None


def answer_prescription(
    request: HttpRequest,
    form: PrescriptionForm,
    act: Callable[[], str],
    template: str,
    context: dict[str, Any],
) -> HttpResponse:
    """Without scripts the published figures come by sending the form back and forth; nothing is kept then."""
    name = draft_of(form.case)
    if only_keeps(request):
        return keep_changes(request, name, form)
    looks = "look" in request.POST
    answer = None if looks else answer_and_keep(request, form, act, name=name)
    if looks:
        form.errors.clear()
    status = 200 if looks else status_of(form)
    return answer or page(request, template, {"form": form, **context}, status=status)


def age_and_sex(case: Any) -> list[str]:
    """What was said of them, in words that go on a sentence."""
    age = _("{age} years").format(age=case.patient_age) if case.patient_age is not None else ""
    return [said for said in (age, in_a_sentence(case.get_patient_sex_display())) if said]


def work_asked_for(case: Any) -> list[tuple[str, str]]:
    """What is to be made and of what, as the prescription says it."""
    return [
        (_("Work"), case.work_description),
        (_("Definitive impression"), case.get_impression_material_display()),
        (_("Denture base"), case.base_material),
        (_("Shade"), case.shade),
        (_("Wishes for the teeth"), case.tooth_wishes),
        (_("Subcontractor"), case.subcontractor),
        (_("Notes"), case.notes),
    ]
