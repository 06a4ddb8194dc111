"""The bench sheet of one stage: what it is made to, what was measured, what is still to be done."""

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from labcases.bench.forms import SheetForm
from labcases.bench.views.drawings import drawings_of
from labcases.bench.views.followings import followings
from labcases.bench.views.rows import Part, parts_of
from labcases.bench.views.undoing import undoable
from labcases.cases.choices import Act, Place, StageState
from labcases.cases.queries import checklist_for, events_of, returns_of, stages_of
from labcases.cases.rules import may_be_started
from labcases.measurements.queries import (
    SPECIFIED_STAGES,
    boxes_for,
    changes_between,
    every_reading,
    findings,
    revisions,
)
from labcases.pages.answers import page
from labcases.pages.drafts import draft
from labcases.pages.gates import for_laboratory, stage_or_404
from labcases.pages.happenings import happenings
from labcases.pages.templatetags.trade import moment
from labcases.pages.ways import stops_of
from labcases.tickets.queries import current_ticket

LONGEST_HISTORY = 40
INSTRUMENTS_LAST_USED = "instruments"


def sheet_address(stage: Any, *, at: str = "") -> str:
    address = reverse("bench:sheet", args=[stage.pk])
    return f"{address}#{at}" if at else address


def draft_name(stage: Any) -> str:
    return f"stage-{stage.pk}"


@require_safe
@for_laboratory
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)
    if stage.place == Place.CLINIC:
        return redirect("bench:case", stage.case.number)
    return sheet_page(request, stage)


def sheet_page(
    request: HttpRequest, stage: Any, *, form: SheetForm | None = None, status: int = 200
) -> HttpResponse:
    return page(request, "bench/sheet.html", sheet_context(request, stage, form), status=status)


def sheet_context(request: HttpRequest, stage: Any, form: SheetForm | None = None) -> dict[str, Any]:
    case = stage.case
    issued = list(revisions(case, stage.kind)[:2]) if stage.kind in SPECIFIED_STAGES else []
    specification = issued[0] if issued else None
    readings = every_reading(case)
    boxes = form.all_boxes if form else boxes_for(stage, specification, readings=readings)
    steps = form.steps if form else _steps_of(stage)
    ticket = current_ticket(stage)
    if form is None and stage.state == StageState.IN_PROGRESS:
        form = SheetForm(initial=_remembered(request, stage), boxes=boxes, steps=steps)
    drawings, follows = drawings_of(specification, boxes), followings(stage, specification, readings)
    parts = [
        replace(part, drawing=drawings.get(part.arch), follows=follows.pop(part.arch, ()))
        for part in parts_of(case.arch_names, specification, boxes, form)
    ]
    return {
        "stage": stage,
        "case": case,
        "specification": specification,
        "changes": changes_between(issued[1], specification) if len(issued) > 1 else [],
        "parts": parts,
        "follows": [each for of_arch in follows.values() for each in of_arch],
        "form": form,
        "ticket": ticket,
        "paper_is_old": ticket is not None and ticket.specification != specification,
        "has_draft": _has_draft(parts, form),
        "findings": findings(boxes) if stage.state in (StageState.IN_PROGRESS, StageState.ON_HOLD) else [],
        "undoable": undoable(request, Act.STARTED, Act.HELD, Act.STEP_TICKED, stage=stage),
        "history": happenings(events_of(case).filter(stage=stage)[:LONGEST_HISTORY]),
        **_steps(stage, steps),
        **_way(case, stage),
    }


def _steps_of(stage: Any) -> tuple[Any, ...]:
    """A stage's own copy of its checklist; it has none before it is started."""
    return () if stage.state == StageState.WAITING else tuple(stage.steps.select_related("done_by"))


def _has_draft(parts: list[Part], form: SheetForm | None) -> bool:
    """Whether a box that is still open starts with what was typed before."""
    if form is None or form.is_bound:
        return False
    return any(box.initial for part in parts for row in part.open_rows for box in row.boxes)


def _remembered(request: HttpRequest, stage: Any) -> dict[str, str]:
    """What the boxes start with: the instruments used last, then what was typed and not saved."""
    last = request.session.get(INSTRUMENTS_LAST_USED, {})
    return {**last, **draft(request, draft_name(stage))}


def _steps(stage: Any, steps: tuple[Any, ...]) -> dict[str, Any]:
    waits = stage.state == StageState.WAITING
    return {
        "steps": steps,
        "steps_to_come": checklist_for(stage.kind) if waits and not steps else (),
        "ticked": sum(step.done_at is not None for step in steps),
        "may_tick": stage.state == StageState.IN_PROGRESS,
    }


def _way(case: Any, stage: Any) -> dict[str, Any]:
    stages, returns = stages_of(case), list(returns_of(case))
    again = [other for other in stages if other.kind == stage.kind and other.visit > stage.visit]
    return {
        "stops": stops_of(case, stages, returns),
        "again": again[-1] if again else None,
        "came_back": next((each for each in returns if each.visit == stage.visit), None),
        "obstacle": may_be_started(case, stage) if stage.state == StageState.WAITING else "",
        "is_current": case.is_open and case.current_stage_id == stage.pk,
        "finished_words": _finished_words(stage) if stage.finished_at else "",
    }


def _finished_words(stage: Any) -> str:
    return _("By {person}, {moment}.").format(person=stage.finished_by, moment=moment(stage.finished_at))
