"""Whichever button sends the sheet, its figures and ticks are kept first; then the button's act follows."""

import datetime
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from labcases.bench.forms import SheetForm, label_of
from labcases.bench.views.sheet import INSTRUMENTS_LAST_USED, draft_name, sheet_address, sheet_page
from labcases.bench.views.undoing import note_act
from labcases.cases.actions.checklists import tick_all_steps, tick_step, untick_step
from labcases.cases.actions.moves import hold_stage
from labcases.measurements.actions.finishing import NeedsReason, finish_bench_stage
from labcases.measurements.actions.readings import record_readings
from labcases.measurements.choices import Verdict
from labcases.measurements.queries import boxes_for, current_specification, not_measured
from labcases.pages.answers import once
from labcases.pages.drafts import drop_draft, keep_draft
from labcases.pages.gates import for_laboratory, stage_or_404, version_seen
from labcases.people.refusals import NotAllowed, Refused

Act = Callable[[datetime.datetime], str]
DOUBTS = {Verdict.OUTSIDE: gettext_lazy("outside"), Verdict.MEASURE_AGAIN: gettext_lazy("measure again")}


@for_laboratory
def record(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)
    return save_sheet(request, stage, then=lambda now: sheet_address(stage, at="figures"))


@for_laboratory
def tick_all(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)

    def tick(now: datetime.datetime) -> str:
        tick_all_steps(stage=stage, by=request.user, now=now)
        note_act(request)
        return sheet_address(stage, at="checklist")

    return save_sheet(request, stage, then=tick)


@for_laboratory
def hold(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)

    def put_on_hold(now: datetime.datetime) -> str:
        reason, version = request.POST.get("hold_reason", ""), version_seen(request)
        hold_stage(stage=stage, by=request.user, expected_version=version, reason=reason, now=now)
        note_act(request)
        return sheet_address(stage)

    return save_sheet(request, stage, then=put_on_hold, holding=True)


@for_laboratory
def draft_of_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Keeps what is typed while it is typed; nothing is checked or recorded yet."""
    stage = stage_or_404(request, pk)
    if request.method == "POST":
        keep_draft(request, draft_name(stage), _form(request, stage).fields)
        return HttpResponse(status=204)
    return redirect(sheet_address(stage))


def save_and_finish(request: HttpRequest, stage: Any) -> HttpResponse:
    """Figures that stand against finishing are kept all the same; the next page asks for the reason."""

    def finish(now: datetime.datetime) -> str:
        try:
            finish_now(request, stage, now=now)
        except (NeedsReason, NotAllowed):
            return reverse("bench:finish", args=[stage.pk])
        return reverse("bench:work")

    return save_sheet(request, stage, then=finish)


def finish_now(request: HttpRequest, stage: Any, *, now: datetime.datetime, reason: str = "") -> None:
    version = version_seen(request)
    finish_bench_stage(stage=stage, by=request.user, expected_version=version, now=now, reason=reason)
    note_act(request)
    said = [_("{stage} of {number} is finished.").format(stage=stage.label, number=stage.case.number)]
    if left_out := len(not_measured(boxes_for(stage, current_specification(stage.case, stage.kind)))):
        words = ngettext("1 figure was not measured.", "{count} figures were not measured.", left_out)
        said.append(words.format(count=left_out))
    messages.success(request, " ".join(said))


def save_sheet(request: HttpRequest, stage: Any, *, then: Act, holding: bool = False) -> HttpResponse:
    if request.method != "POST":
        return redirect(sheet_address(stage))
    form = _form(request, stage, holding=holding)
    if not form.is_valid():
        keep_draft(request, draft_name(stage), form.fields)
        return sheet_page(request, stage, form=form, status=422)

    kept: list[Any] = []

    def act() -> str:
        now = timezone.now()
        _keep_ticks(request, form, now)
        if form.entries:
            kept[:] = record_readings(stage=stage, entries=form.entries, by=request.user, now=now)
        return then(now)

    try:
        answer = once(request, act)
    except Refused:
        keep_draft(request, draft_name(stage), form.fields)
        raise
    _say_what_was_kept(request, form, kept)
    drop_draft(request, draft_name(stage))
    _remember_instruments(request, form)
    return answer


def _form(request: HttpRequest, stage: Any, *, holding: bool = False) -> SheetForm:
    boxes = boxes_for(stage, current_specification(stage.case, stage.kind))
    steps = stage.steps.select_related("done_by")
    return SheetForm(request.POST, boxes=boxes, steps=steps, holding=holding)


def _keep_ticks(request: HttpRequest, form: SheetForm, now: datetime.datetime) -> None:
    for step, done in form.ticks:
        set_tick = tick_step if done else untick_step
        set_tick(step=step, by=request.user, now=now)


def _say_what_was_kept(request: HttpRequest, form: SheetForm, kept: list[Any]) -> None:
    """Said only once all of it was done: an act that failed kept nothing."""
    if not kept:
        return
    count = ngettext("1 figure saved", "{count} figures saved", len(kept)).format(count=len(kept))
    labels = {(box.quantity.name, box.arch): label_of(box) for box in form.all_boxes}
    doubtful = [
        f"{labels[reading.quantity, reading.arch]}: {DOUBTS[Verdict(reading.verdict)]}"
        for reading in kept
        if reading.verdict not in ("", Verdict.WITHIN)
    ]
    if doubtful:
        messages.warning(request, f"{count}. {'; '.join(doubtful)}.")
    else:
        messages.success(request, f"{count}.")


def _remember_instruments(request: HttpRequest, form: SheetForm) -> None:
    used = {
        name: form.cleaned_data[name]
        for name in ("instrument_mm", "instrument_deg")
        if form.cleaned_data.get(name)
    }
    if form.entries and used:
        request.session[INSTRUMENTS_LAST_USED] = {**request.session.get(INSTRUMENTS_LAST_USED, {}), **used}
