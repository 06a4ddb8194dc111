"""Many tickets scanned one after the other into a list, and one act for all of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext_lazy

from labcases.bench.views.answers import once_or_error
from labcases.bench.views.disinfecting import receive_form, remember_disinfectant
from labcases.cases.numbers import CaseNumberError
from labcases.cases.queries import cases_by_number
from labcases.measurements.actions.together import Disinfected, LeftUndone, Line, do_to_many
from labcases.measurements.choices import ForMany
from labcases.measurements.queries import StepForMany, step_for_many
from labcases.pages.answers import page, wants_fragment
from labcases.pages.gates import for_laboratory
from labcases.pages.ids import joined_ids
from labcases.pages.moving import ReceiveForm
from labcases.pages.scanning import NotFound, case_scanned
from labcases.tickets.codes import CodeError

BATCH = "batch"
MOST = 60
DONE = {
    ForMany.RECEIVE: ngettext_lazy("%(count)d case is received.", "%(count)d cases are received.", "count"),
    ForMany.START: ngettext_lazy("%(count)d case is started.", "%(count)d cases are started.", "count"),
    ForMany.FINISH: ngettext_lazy("%(count)d case is finished.", "%(count)d cases are finished.", "count"),
    ForMany.HAND_OVER: ngettext_lazy(
        "%(count)d case is on the way to the clinic.",
        "%(count)d cases are on the way to the clinic.",
        "count",
    ),
}


@dataclass(frozen=True)
class Scanned:
    """One line of the list: the case as it is now, what can be done to it, what is to be said of it."""

    case: Any
    step: StepForMany
    note: str

    @property
    def line(self) -> str:
        """The case with its stage as it is shown, for the form that acts on it."""
        stage = self.case.current_stage
        return f"{self.case.number}:{stage.pk if stage else 0}:{stage.version if stage else 0}"


@for_laboratory
def batch(request: HttpRequest) -> HttpResponse:
    """The list; a POST adds what was scanned, takes a line away, or empties it."""
    if request.method != "POST":
        return _batch_page(request)
    if "code" in request.POST:
        text = request.POST["code"].strip()
        words = _add(request, text[:400])
        if words or wants_fragment(request):
            return _batch_page(request, words=words, text=text if words else "")
    elif "remove" in request.POST:
        _keep(request, {n: note for n, note in _list(request).items() if n != request.POST["remove"]})
    elif "empty" in request.POST:
        _keep(request, {})
    return redirect("bench:batch")


def _list(request: HttpRequest) -> dict[str, str]:
    """Case numbers in the order in which they were scanned, each with its note."""
    return dict(request.session.get(BATCH, {}))


def _keep(request: HttpRequest, listed: Mapping[str, str]) -> None:
    request.session[BATCH] = dict(listed)


def _add(request: HttpRequest, text: str) -> str:
    """Put the case on the list; words where that was not done."""
    if not text:
        return ""
    try:
        case, note = case_scanned(request.user, text)
    except (CaseNumberError, CodeError, NotFound) as error:
        return error.message
    listed = _list(request)
    if case.number not in listed and len(listed) >= MOST:
        return _("The list has {number} cases; do something with them first.").format(number=MOST)
    listed.pop(case.number, None)
    _keep(request, {**listed, case.number: note})
    return ""


def _batch_page(request: HttpRequest, *, words: str = "", text: str = "") -> HttpResponse:
    rows = scanned(request)
    counts = [(act, sum(row.step.act == act for row in rows)) for act in ForMany]
    context = {
        "rows": rows[::-1],
        "acts": [(act, count) for act, count in counts if count],
        "words": words,
        "text": text,
        "scan_focus": False,
    }
    return page(
        request, "bench/batch.html", context, fragment="bench/_batch.html", status=422 if words else 200
    )


def scanned(request: HttpRequest) -> list[Scanned]:
    listed = _list(request)
    cases = cases_by_number(request.user, listed) if listed else {}
    return [
        Scanned(cases[number], step_for_many(cases[number]), note)
        for number, note in listed.items()
        if number in cases
    ]


@for_laboratory
def batch_do(request: HttpRequest) -> HttpResponse:
    """What one act will do to each line, and doing it."""
    given = request.POST if request.method == "POST" else request.GET
    act = given.get("act", "")
    if act not in ForMany.values:
        return redirect("bench:batch")
    form = receive_form(request) if act == ForMany.RECEIVE else None
    if request.method == "POST" and (form is None or form.is_valid()):
        answer = once_or_error(request, form, lambda: _do(request, ForMany(act), form))
        if answer:
            return answer
    rows = scanned(request)
    context = {
        "act": ForMany(act),
        "will": [row for row in rows if row.step.act == act],
        "will_not": [row for row in rows if row.step.act != act],
        "form": form,
    }
    is_refused = form is not None and form.is_bound
    return page(request, "bench/batch_do.html", context, status=422 if is_refused else 200)


def _do(request: HttpRequest, act: ForMany, form: ReceiveForm | None) -> str:
    lines = _lines(request)
    disinfected = Disinfected(**form.cleaned_data) if form else None
    left = do_to_many(lines=lines, act=act, by=request.user, now=timezone.now(), disinfected=disinfected)
    _say(request, act, done=len(lines) - len(left), left=left)
    failed = {each.case.number for each in left}
    done = {line.case.number for line in lines} - failed
    _keep(request, {number: note for number, note in _list(request).items() if number not in done})
    if form:
        remember_disinfectant(request, form)
    return reverse("bench:batch") if _list(request) else reverse("bench:work")


def _lines(request: HttpRequest) -> list[Line]:
    """The lines that the form carries, of cases that this person may see; anything else is left out."""
    seen = {}
    for text in request.POST.getlist("line")[:MOST]:
        number, _between, marks = text.partition(":")
        for stage, version in joined_ids([marks], of=2, by=":"):
            seen[number] = stage, version
    cases = cases_by_number(request.user, seen) if seen else {}
    return [Line(case, *seen[number]) for number, case in cases.items()]


def _say(request: HttpRequest, act: ForMany, *, done: int, left: list[LeftUndone]) -> None:
    if done:
        messages.success(request, DONE[act] % {"count": done})
    for each in left:
        words = _("{number} was left as it is. {why}")
        messages.warning(request, words.format(number=each.case.number, why=each.why))
    if not done and not left:
        messages.warning(request, _("Nothing was ticked, so nothing was done."))
