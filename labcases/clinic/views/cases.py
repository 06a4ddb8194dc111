"""My cases: what waits for the practice, what is on its way, what the laboratory has and when it is back."""

import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from labcases.cases.choices import CaseState
from labcases.cases.queries import cases_for, completed_cases
from labcases.cases.rules import missing_from_prescription
from labcases.cases.searching import find
from labcases.clinic.views.standing import Standing, Whereabouts
from labcases.pages.answers import page
from labcases.pages.drafts import draft
from labcases.pages.gates import for_clinicians
from labcases.pages.paging import stretch
from labcases.pages.prescription import draft_of
from labcases.pages.ways import stops_of
from labcases.people.queries import laboratory

LATELY_COMPLETED = 10
PAGE_SIZE = 25
LONGEST_TEXT = 60
TITLES = {
    Whereabouts.WAITING: _("Waiting for you"),
    Whereabouts.COMING: _("On its way to you"),
    Whereabouts.LABORATORY: _("At the laboratory"),
    Whereabouts.GOING: _("On its way to the laboratory"),
}


@require_safe
@for_clinicians
def cases(request: HttpRequest) -> HttpResponse:
    mine = cases_for(request.user)
    today, lab = timezone.localdate(), laboratory()
    found = mine.still_open().prefetch_related("stages", "returns")
    rows = sorted((_standing(case, lab, today) for case in found), key=lambda row: row.order)
    groups = [(where, title, [row for row in rows if row.group == where]) for where, title in TITLES.items()]
    context = {
        "groups": [group for group in groups if group[2]],
        "waits": sum(row.group == Whereabouts.WAITING for row in rows),
        "open": len(rows),
        "begun": bool(draft(request, draft_of())),
        "completed": completed_cases(request.user).order_by("-completed_at", "-pk")[:LATELY_COMPLETED],
        "today": today,
    }
    return page(request, "clinic/cases.html", context)


@require_safe
@for_clinicians
def completed(request: HttpRequest) -> HttpResponse:
    """Every completed case of the practice, or those that a text finds, a page at a time."""
    text = request.GET.get("q", "").strip()[:LONGEST_TEXT]
    found = find(completed_cases(request.user), text).select_related("prescriber")
    listed = stretch(request, found, by="completed_at", size=PAGE_SIZE)
    return page(request, "clinic/completed.html", {"page": listed, "text": text})


def _standing(case: Any, lab: Any, today: datetime.date) -> Standing:
    stages = sorted(case.stages.all(), key=lambda stage: stage.position)
    returns = list(case.returns.all())
    missing = missing_from_prescription(case, lab) if case.state == CaseState.INCOMPLETE else ()
    return Standing(case, stages, returns, stops_of(case, stages, returns), missing, today)
