"""One thing done with many cases: shown for each before it is done, and done for those for which it can be."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from labcases.cases.queries import ticked_stages
from labcases.office.forms.bulk import DEEDS, BulkForm, PaperForm, Ticked
from labcases.office.views.tickets import AT_ONCE, as_pdf, ask_in_background
from labcases.pages.addresses import back_to, own_address
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import for_managers
from labcases.pages.ids import joined_ids
from labcases.people.queries import bench_people
from labcases.people.refusals import Refused
from labcases.prosthodontics.errors import LabCasesError
from labcases.tickets.actions import issue_tickets

MOST = 200
NAMED = 10


@dataclass(frozen=True)
class Line:
    """What will become of one ticked case, or why nothing will."""

    ticked: Ticked
    happens: str
    obstacle: str


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def bulk(request: HttpRequest) -> HttpResponse:
    asked = request.POST if request.method == "POST" else request.GET
    ticked = _ticked(request, asked)
    form = _form(request, asked)
    lines = [_line(form, each) for each in ticked]
    if request.method == "POST":
        answer = _print(request, form, lines) if isinstance(form, PaperForm) else _do(request, form, lines)
        if answer:
            return answer
    return _preview(request, form, lines, asked)


def _form(request: HttpRequest, asked: QueryDict) -> BulkForm:
    name, _dash, chosen = asked.get("do", "").partition("-")
    if name not in DEEDS:
        raise Refused(_("Choose what to do with the ticked cases."))
    kind = DEEDS[name]
    typed = asked if request.method == "POST" or (kind.asks_first and "day" in asked) else None
    return kind(typed, people=bench_people(), chosen=chosen, today=timezone.localdate())


def _ticked(request: HttpRequest, asked: QueryDict) -> list[Ticked]:
    """The ticked cases from "17-3-2": stage, its version, its case's; what is no such mark is left out."""
    marks: dict[int, tuple[int, int]] = {}
    for pk, version, case_version in joined_ids(asked.getlist("stage")[:MOST], of=3):
        marks[pk] = version, case_version
    found = [Ticked(stage, *marks[stage.pk]) for stage in ticked_stages(request.user, marks)]
    if not found:
        raise Refused(_("Tick at least one case."))
    return found


def _line(form: BulkForm, ticked: Ticked) -> Line:
    obstacle = form.overtaken(ticked) or form.why_not(ticked)
    return Line(ticked, "" if obstacle else form.happens(ticked), obstacle)


def _do(request: HttpRequest, form: Any, lines: Sequence[Line]) -> HttpResponse | None:
    def act() -> str:
        left = [(line.ticked, line.obstacle) for line in lines if line.obstacle]
        able = [line.ticked for line in lines if not line.obstacle]
        # In one order for everybody, so that two managers' batches cannot wait for each other.
        refused = list(_refused(form, sorted(able, key=lambda each: each.stage.case_id), request))
        _say(request, form, done=len(able) - len(refused), left=[*left, *refused])
        return back_to(request, reverse("office:cases"))

    return answer_form(request, form, act)


def _refused(form: Any, able: Iterable[Ticked], request: HttpRequest) -> Iterable[tuple[Ticked, str]]:
    """Do it for each; those that an action refuses, with its words."""
    now = timezone.now()
    for ticked in able:
        try:
            form.act(ticked, by=request.user, now=now)
        except LabCasesError as error:
            yield ticked, error.message


def _say(request: HttpRequest, form: Any, *, done: int, left: Sequence[tuple[Ticked, str]]) -> None:
    if done:
        messages.success(request, form.done(done))
    if left:
        messages.warning(request, _left_in_words(left))


def _left_in_words(left: Sequence[tuple[Ticked, str]]) -> str:
    named = "; ".join(f"{ticked.stage.case.number}: {why.rstrip('.')}" for ticked, why in left[:NAMED])
    more = len(left) - NAMED
    if more <= 0:
        return _("Left as they were: {cases}.").format(cases=named)
    said = ngettext(
        "Left as they were: {cases}; and {count} more.", "Left as they were: {cases}; and {count} more.", more
    )
    return said.format(cases=named, count=more)


def _print(request: HttpRequest, form: BulkForm, lines: list[Line]) -> HttpResponse | None:
    """One PDF of all that can be printed; where one cannot after all, the page says so and offers the others.

    More than a few are made in the background.
    """
    able = [line.ticked.stage for line in lines if not line.obstacle]
    if not able or not form.is_valid():
        return None
    paper = form.cleaned_data["paper"]
    if len(able) > AT_ONCE:
        return once(request, lambda: ask_in_background(request, able, paper=paper))
    batch = issue_tickets(stages=able, paper=paper, by=request.user, now=timezone.now())
    if not batch.failures:
        return as_pdf(batch.pdf, name=f"tickets-{timezone.localdate()}.pdf")
    failed = {failure.stage.pk: failure.message for failure in batch.failures}
    lines[:] = [
        Line(line.ticked, line.happens, failed.get(line.ticked.stage.pk, line.obstacle)) for line in lines
    ]
    form.add_error(None, _("Some tickets could not be printed. The others can be."))
    return None


def _preview(request: HttpRequest, form: BulkForm, lines: list[Line], asked: QueryDict) -> HttpResponse:
    ready = [line for line in lines if not line.obstacle]
    context = {
        "form": form,
        "do": asked.get("do", ""),
        "marks": [line.ticked.mark for line in lines],
        "ready": ready,
        "left": [line for line in lines if line.obstacle],
        "back": own_address(asked.get("back"), otherwise=reverse("office:cases")),
        "may_act": bool(ready) and (not form.asks_first or (form.is_bound and form.is_valid())),
        "today": timezone.localdate(),
    }
    return page(request, "office/bulk.html", context, status=status_of(form))
