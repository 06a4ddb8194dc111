"""Can it be back by …? Answered while a prescription is being written, and for a case that is here."""

import datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from labcases.cases.choices import Arches, CaseKind, Place, StageKind
from labcases.pages.answers import page
from labcases.pages.days import read_day
from labcases.pages.gates import case_or_404
from labcases.pages.ids import read_id
from labcases.pages.scanning import case_address
from labcases.people.access import may_prescribe
from labcases.people.queries import practice_by_id
from labcases.planning.queries.promises import Answer, can_be_back, promises_for


@require_safe
def promise(request: HttpRequest) -> HttpResponse:
    """What can be promised for a prescription as it is typed so far; half-typed values are left out, not refused.

    A clinician is answered for the own practice, whatever the address says.
    """
    if not may_prescribe(request.user):
        raise PermissionDenied
    practice, asked = _practice(request), request.GET
    kind = asked.get("kind") if asked.get("kind") in CaseKind.values else CaseKind.COMPLETE
    arches = asked.get("arches") if asked.get("arches") in Arches.values else Arches.BOTH
    dates = _dates(request)
    answers: list[Answer] = []
    if practice is not None:
        answers = can_be_back(
            practice=practice,
            kind=str(kind),
            arches=str(arches),
            starts_at=asked.get("starts_at", ""),
            dates=dates,
            now=timezone.now(),
        )
    context = {"answers": answers, "practice": practice, "asked": any(dates.values())}
    return page(request, "pages/planning/promise.html", context, fragment="pages/planning/_promise.html")


@require_safe
def case_promise(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    answers = promises_for(case, now=timezone.now())
    context = {"answers": answers, "practice": case.practice, "case": case, "asked": True}
    context["case_url"] = case_address(request.user, case)
    return page(request, "pages/planning/promise.html", context, fragment="pages/planning/_promise.html")


def _practice(request: HttpRequest) -> Any:
    if request.user.is_clinician:
        return request.user.practice
    found = practice_by_id(read_id(request.GET.get("practice", "")) or 0)
    return found if found and found.is_active else None


def _dates(request: HttpRequest) -> dict[str, datetime.date | None]:
    """The wanted days by kind of visit, from `wanted_<kind>` (or the bare kind) in the address."""
    found: dict[str, datetime.date | None] = {}
    for kind in StageKind:
        if kind.place == Place.CLINIC:
            text = request.GET.get(f"wanted_{kind}") or request.GET.get(kind) or ""
            found[kind] = read_day(text)
    return found
