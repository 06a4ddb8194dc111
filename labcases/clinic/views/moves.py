"""What a practice does with a case besides its record: it has arrived, its days change, finished work comes back."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from labcases.cases.actions.crossings import accept_at_clinic
from labcases.cases.actions.guards import case_conflict
from labcases.cases.choices import OPEN_STATES, CaseState, Place
from labcases.cases.queries import stage_to_return_from, stages_of, stages_to_return_to
from labcases.cases.rules import kinds_to_repeat
from labcases.clinic.forms import AppointmentsForm, ComplaintForm
from labcases.measurements.actions.clinic import ChairFindings, WorkReturn, return_from_clinic
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import case_or_404, for_clinicians, version_seen
from labcases.planning.actions.due_days import lay_due_days, set_wanted_days
from labcases.prosthodontics.wording import in_a_sentence


def _case_page(case: Any) -> str:
    return reverse("clinic:case", args=[case.number])


@require_POST
@for_clinicians
def arrived(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)

    def act() -> str:
        accept_at_clinic(case=case, by=request.user, now=timezone.now())
        messages.success(request, _("{number} is with you.").format(number=case.number))
        return _case_page(case)

    return once(request, act)


@require_http_methods(["GET", "HEAD", "POST"])
@for_clinicians
def dates(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    ahead = [each for each in stages_of(case) if each.state in OPEN_STATES and each.place == Place.CLINIC]
    typed = request.POST if request.method == "POST" else None
    form = AppointmentsForm(typed, stages=ahead, today=timezone.localdate())

    def act() -> str:
        if form.changes:
            set_wanted_days(
                case=case,
                dates=form.changes,
                by=request.user,
                now=timezone.now(),
                expected_version=version_seen(request),
            )
            words = _("The days of {number} are set. The laboratory works back from them.")
            messages.success(request, words.format(number=case.number))
        return _case_page(case)

    answer = answer_form(request, form, act)
    context = {"case": case, "form": form, "version": request.POST.get("version") or case.version}
    return answer or page(request, "clinic/dates.html", context, status=status_of(form))


@require_http_methods(["GET", "HEAD", "POST"])
@for_clinicians
def send_back(request: HttpRequest, number: str) -> HttpResponse:
    """A complaint about finished work; while a case is open, its clinic stage's record is the place for it."""
    case = case_or_404(request, number)
    if case.state != CaseState.COMPLETE:
        return _not_complete(request, case)
    stage, places = stage_to_return_from(case), stages_to_return_to(case)
    typed = request.POST if request.method == "POST" else None
    form = ComplaintForm(typed, stages=places, today=timezone.localdate())
    answer = answer_form(request, form, lambda: _send_back(request, case, stage, form))
    context = {"case": case, "stage": stage, "form": form, "places": places}
    return answer or page(request, "clinic/send_back.html", context, status=status_of(form))


def _not_complete(request: HttpRequest, case: Any) -> HttpResponse:
    """A complaint that was sent before leads to its answer again; anything else has been overtaken."""
    if request.method != "POST":
        return redirect("clinic:record" if case.is_open else "clinic:case", case.number)

    def overtaken() -> str:
        raise case_conflict(case)

    return once(request, overtaken)


def _send_back(request: HttpRequest, case: Any, stage: Any, form: ComplaintForm) -> str:
    given, to = form.cleaned_data, form.stage
    again = kinds_to_repeat(stages_of(case), to=to, last=stage)
    crossing = next(kind for kind in again if kind.place == Place.CLINIC)
    return_from_clinic(
        stage=stage,
        findings=ChairFindings(),
        outcome=stage.outcome,
        back=WorkReturn(to, given["cause"], given["note"]),
        dates={crossing: given["wanted_back"]} if given["wanted_back"] else {},
        by=request.user,
        expected_version=version_seen(request),
        now=timezone.now(),
    )
    lay_due_days(case=case, by=request.user, now=timezone.now())
    words = _("{number} goes back to {stage}.")
    messages.success(request, words.format(number=case.number, stage=in_a_sentence(to.get_kind_display())))
    return _case_page(case)
