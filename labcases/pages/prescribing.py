"""How the form of a prescription is answered, in the office and in the clinic."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse

from labcases.pages.answers import page, status_of
from labcases.pages.drafts import answer_and_keep, keep_changes, only_keeps
from labcases.pages.prescription import PrescriptionForm, draft_of


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
