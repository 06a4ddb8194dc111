"""A case as the bench sees it, and its crossings: received from the clinic, handed to it."""

import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from labcases.bench.views.answers import once_or_error
from labcases.bench.views.disinfecting import receive_form, remember_disinfectant
from labcases.cases.actions.crossings import hand_to_clinic, receive_at_laboratory
from labcases.cases.choices import Location, Place
from labcases.cases.queries import returns_of, stages_of
from labcases.pages.answers import once, page
from labcases.pages.gates import case_or_404, for_laboratory
from labcases.pages.moving import ReceiveForm
from labcases.pages.ways import stops_of


@require_safe
@for_laboratory
def case(request: HttpRequest, number: str) -> HttpResponse:
    found = case_or_404(request, number)
    stages, returns = stages_of(found), list(returns_of(found))
    here = found.current_stage
    context = {
        "case": found,
        "stages": stages,
        "returns": returns,
        "stops": stops_of(found, stages, returns),
        "current": here,
        "today": timezone.localdate(),
        "may_receive": found.is_open and found.location == Location.TO_LABORATORY,
        "may_hand_over": bool(
            here and found.location == Location.LABORATORY and here.place == Place.CLINIC and found.is_open
        ),
        "disinfections": list(found.disinfections.select_related("by")),
    }
    return page(request, "bench/case.html", context)


@for_laboratory
def receive(request: HttpRequest, number: str) -> HttpResponse:
    """Take a case in with what was done to disinfect it."""
    found = case_or_404(request, number)
    form = receive_form(request)
    if form.is_valid():
        answer = once_or_error(request, form, lambda: _receive(request, found, form, timezone.now()))
        if answer:
            remember_disinfectant(request, form)
            return answer
    context = {"case": found, "form": form, "is_coming": found.location == Location.TO_LABORATORY}
    return page(request, "bench/receive.html", context, status=422 if form.is_bound else 200)


def _receive(request: HttpRequest, found: object, form: ReceiveForm, now: datetime.datetime) -> str:
    receive_at_laboratory(case=found, by=request.user, now=now, **form.cleaned_data)
    messages.success(request, _("{number} is received.").format(number=found.number))
    return reverse("bench:work")


@for_laboratory
def hand_over(request: HttpRequest, number: str) -> HttpResponse:
    found = case_or_404(request, number)
    if request.method != "POST":
        return redirect("bench:case", found.number)

    def act() -> str:
        hand_to_clinic(case=found, by=request.user, now=timezone.now())
        words = _("{number} is on its way to {practice}.")
        messages.success(request, words.format(number=found.number, practice=found.practice.name))
        return reverse("bench:work")

    return once(request, act)
