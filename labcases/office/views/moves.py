"""What the office does with one case: receive, hand over, send back, leave out, cancel, date, record for the clinic."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from labcases.cases.actions import crossings
from labcases.cases.actions.guards import case_conflict
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.moves import skip_stage
from labcases.cases.choices import OPEN_STATES, Place
from labcases.cases.queries import stage_to_return_from, stages_of, stages_to_return_to
from labcases.measurements.actions.returning import send_back as return_work
from labcases.office.forms.cases import DatesForm, ReasonForm
from labcases.pages.addresses import back_to
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import case_or_404, for_managers, stage_or_404, version_seen
from labcases.pages.moving import ReceiveForm, SendBackForm
from labcases.pages.recording import record_page
from labcases.planning.actions.due_days import lay_due_days, set_wanted_days
from labcases.prosthodontics.wording import in_a_sentence


def _case_page(case: Any) -> str:
    return reverse("office:case", args=[case.number])


def _shown(request: HttpRequest, template: str, form: Any, **context: Any) -> HttpResponse:
    return page(request, template, {"form": form, **context}, status=status_of(form))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def receive(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    form = ReceiveForm(request.POST or None)

    def act() -> str:
        crossings.receive_at_laboratory(case=case, **form.cleaned_data, by=request.user, now=timezone.now())
        words = _("{number} is received, its disinfection is noted.")
        messages.success(request, words.format(number=case.number))
        return back_to(request, _case_page(case))

    answer = answer_form(request, form, act)
    return answer or _shown(request, "office/receive.html", form, case=case, back=_back(request))


@require_POST
@for_managers
def hand_over(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)

    def act() -> str:
        crossings.hand_to_clinic(case=case, by=request.user, now=timezone.now())
        words = _("{number} is on its way to {practice}.")
        messages.success(request, words.format(number=case.number, practice=case.practice))
        return back_to(request, _case_page(case))

    return once(request, act)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def dates(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    to_come = [s for s in stages_of(case) if s.state in OPEN_STATES and s.place == Place.CLINIC]
    form = DatesForm(request.POST or None, stages=to_come)

    def act() -> str:
        if form.changes:
            set_wanted_days(
                case=case,
                dates=form.changes,
                by=request.user,
                now=timezone.now(),
                expected_version=version_seen(request),
            )
            words = _("The days of {number} are set; the bench’s days follow from them.")
            messages.success(request, words.format(number=case.number))
        return back_to(request, _case_page(case))

    answer = answer_form(request, form, act)
    return answer or _shown(request, "office/dates.html", form, case=case, back=_back(request))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def record_clinic(request: HttpRequest, number: str) -> HttpResponse:
    """The practice telephones: the office writes its clinic stage down for it."""
    case = case_or_404(request, number)
    return record_page(request, case, template="office/record_clinic.html", leads_to=_case_page(case))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def send_back(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    stage, places = stage_to_return_from(case), stages_to_return_to(case)
    if request.method == "POST" and request.POST.get("stage") != (str(stage.pk) if stage else ""):
        return once(request, lambda: _overtaken(case))
    form = SendBackForm(request.POST or None, stages=places)

    def act() -> str:
        back = return_work(
            stage=stage,
            to=form.stage,
            cause=form.cleaned_data["cause"],
            note=form.cleaned_data["note"],
            by=request.user,
            expected_version=version_seen(request),
            now=timezone.now(),
        )
        lay_due_days(case=case, by=request.user, now=timezone.now())
        words = _("{number} goes back to {stage}, visit {visit}.").format(
            number=case.number, stage=in_a_sentence(form.stage.label), visit=back.visit
        )
        messages.success(request, words)
        return _case_page(case)

    answer = answer_form(request, form, act) if places else None
    return answer or _shown(request, "office/send_back.html", form, case=case, stage=stage, places=places)


def _overtaken(case: Any) -> str:
    """The case stands at another stage than the form is of. Versions would not tell: every stage begins at 1."""
    raise case_conflict(case)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def skip(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)
    form = ReasonForm(request.POST or None, label=_("Why this case does not need it"))

    def act() -> str:
        skip_stage(
            stage=stage,
            by=request.user,
            expected_version=version_seen(request),
            reason=form.cleaned_data["reason"],
            now=timezone.now(),
        )
        words = _("{stage} is left out of {number}.")
        messages.success(request, words.format(stage=stage.label, number=stage.case.number))
        return _case_page(stage.case)

    answer = answer_form(request, form, act)
    return answer or _shown(request, "office/skip.html", form, case=stage.case, stage=stage)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def cancel(request: HttpRequest, number: str) -> HttpResponse:
    case = case_or_404(request, number)
    form = ReasonForm(request.POST or None, label=_("Why it is cancelled"))

    def act() -> str:
        cancel_case(
            case=case,
            by=request.user,
            reason=form.cleaned_data["reason"],
            expected_version=version_seen(request),
            now=timezone.now(),
        )
        messages.success(request, _("Case {number} is cancelled.").format(number=case.number))
        return _case_page(case)

    answer = answer_form(request, form, act)
    return answer or _shown(request, "office/cancel.html", form, case=case)


def _back(request: HttpRequest) -> str:
    """Where the form shall lead back to: kept through its errors, first given by the link that opened it."""
    return request.POST.get("back") or request.GET.get("back", "")
