"""Start, take up again, finish with a reason, send back."""

import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from labcases.bench.forms import FinishForm
from labcases.bench.views.answers import once_or_error
from labcases.bench.views.saving import finish_now, save_and_finish
from labcases.bench.views.sheet import sheet_address
from labcases.bench.views.undoing import note_act
from labcases.cases.actions.guards import stage_conflict
from labcases.cases.actions.moves import resume_stage, start_stage
from labcases.cases.choices import StageState
from labcases.cases.queries import stages_to_return_to
from labcases.measurements.actions.returning import send_back as send_back_to
from labcases.measurements.queries import boxes_for, current_specification, findings
from labcases.pages.answers import once, page
from labcases.pages.gates import for_laboratory, stage_or_404, version_seen
from labcases.pages.moving import SendBackForm
from labcases.people.access import may_release_outside
from labcases.planning.actions.due_days import lay_due_days
from labcases.prosthodontics.wording import in_a_sentence


@for_laboratory
def start(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)
    if request.method != "POST":
        return redirect(sheet_address(stage))

    def act() -> str:
        version = version_seen(request)
        start_stage(stage=stage, by=request.user, expected_version=version, now=timezone.now())
        note_act(request)
        return sheet_address(stage, at="figures")

    return once(request, act)


@for_laboratory
def resume(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)
    if request.method != "POST":
        return redirect(sheet_address(stage))

    def act() -> str:
        version = version_seen(request)
        resume_stage(stage=stage, by=request.user, expected_version=version, now=timezone.now())
        return sheet_address(stage)

    return once(request, act)


@for_laboratory
def finish(request: HttpRequest, pk: int) -> HttpResponse:
    """From the sheet with all it holds, or from the page that asks why where figures stand against it."""
    stage = stage_or_404(request, pk)
    if request.method == "POST" and "reason" not in request.POST:
        return save_and_finish(request, stage)
    if stage.state != StageState.IN_PROGRESS and request.method != "POST":
        return redirect(sheet_address(stage))
    form = FinishForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        answer = once_or_error(request, form, lambda: _finish_with_reason(request, stage, form))
        if answer:
            return answer
    return _finish_page(request, stage, form)


def _finish_with_reason(request: HttpRequest, stage: Any, form: FinishForm) -> str:
    finish_now(request, stage, now=timezone.now(), reason=form.cleaned_data["reason"])
    return reverse("bench:work")


def _finish_page(request: HttpRequest, stage: Any, form: FinishForm) -> HttpResponse:
    found = findings(boxes_for(stage, current_specification(stage.case, stage.kind)))
    outside = any(finding.is_outside for finding in found)
    context = {
        "stage": stage,
        "case": stage.case,
        "form": form,
        "findings": found,
        "may_finish": may_release_outside(request.user) or not outside,
    }
    return page(request, "bench/finish.html", context, status=422 if form.is_bound else 200)


@for_laboratory
def send_back(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)
    is_current = stage.case.current_stage_id == stage.pk
    if request.method == "POST" and not is_current:
        raise stage_conflict(stage)
    earlier = stages_to_return_to(stage.case) if is_current else []
    form = SendBackForm(request.POST if request.method == "POST" else None, stages=earlier)
    if form.is_valid():
        answer = once_or_error(request, form, lambda: _send_back(request, stage, form, timezone.now()))
        if answer:
            return answer
    context = {"stage": stage, "case": stage.case, "form": form, "earlier": earlier}
    return page(request, "bench/send_back.html", context, status=422 if form.is_bound else 200)


def _send_back(request: HttpRequest, stage: Any, form: SendBackForm, now: datetime.datetime) -> str:
    given = form.cleaned_data
    to = form.stage
    send_back_to(
        stage=stage,
        to=to,
        cause=given["cause"],
        note=given["note"],
        by=request.user,
        expected_version=version_seen(request),
        now=now,
    )
    lay_due_days(case=stage.case, by=request.user, now=now)
    words = _("{number} goes back to {stage}.")
    back_to = in_a_sentence(to.get_kind_display())
    messages.success(request, words.format(number=stage.case.number, stage=back_to))
    return reverse("bench:work")
