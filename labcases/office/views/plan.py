"""The Plan page: people by days, what is open, late or at risk, and giving it out with its consequences known."""

import datetime
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_POST, require_safe

from labcases.cases.queries import stages_seen
from labcases.pages.addresses import back_to
from labcases.pages.answers import once, page
from labcases.pages.days import read_day
from labcases.pages.gates import for_managers, stage_or_404
from labcases.pages.ids import joined_ids
from labcases.people.queries import person_at_bench
from labcases.people.refusals import Refused
from labcases.planning.actions.giving import give, set_pinned
from labcases.planning.queries.board import Board, Standing, preview, read_board
from labcases.planning.queries.proposals import latest_proposal

DAYS_SHOWN = 5
PAGE_SIZE = 40
SHOWN = {
    "all": gettext_lazy("All"),
    "unassigned": gettext_lazy("Nobody yet"),
    "late": gettext_lazy("Late"),
    "risk": gettext_lazy("At risk"),
}


@require_safe
@for_managers
def plan(request: HttpRequest) -> HttpResponse:
    board = read_board(now=timezone.now())
    show = request.GET.get("show", "all")
    second = request.GET.get("days") == "next"
    listed = Paginator(shown(board, show), PAGE_SIZE).get_page(request.GET.get("page"))
    days = board.days[DAYS_SHOWN:] if second else board.days[:DAYS_SHOWN]
    context = {
        "board": board,
        "days": days,
        "rows": [(row, [cell for cell in row.cells if cell.day in days]) for row in board.rows],
        "second": second,
        "page": listed,
        "may_give": any(not standing.is_begun for standing in listed),
        "may_send": any(not standing.is_begun or standing.is_pinned for standing in listed),
        "chips": [(name, label, len(shown(board, name)), name == show) for name, label in SHOWN.items()],
        "show": show,
        "people": board.everyone,
        "proposal": latest_proposal(),
        "today": timezone.localdate(),
        "here": request.get_full_path(),
    }
    return page(request, "office/plan/plan.html", context, fragment="office/plan/_stages.html")


def shown(board: Board, show: str) -> list[Standing]:
    """The open stages that a filter leaves; an unknown filter leaves all."""
    if show == "unassigned":
        return board.unassigned
    if show == "late":
        return [standing for standing in board.standings if standing.is_late]
    if show == "risk":
        return [standing for standing in board.standings if standing.is_at_risk]
    return list(board.standings)


@require_POST
@for_managers
def plan_give(request: HttpRequest) -> HttpResponse:
    """Give the ticked stages out. What would make a case later, or looks wrong, is shown first and asked back."""
    to, day = person_at_bench(request.POST.get("to", "")), _day(request.POST.get("day", ""))
    wanted = dict(joined_ids(request.POST.getlist("stage"), of=2))
    if not wanted:
        raise Refused(_("Tick at least one stage to give out."))
    if to is None and request.POST.get("to") != "nobody":
        raise Refused(_("Choose who shall have the work."))
    found = stages_seen(request.user, wanted)
    if len(found) < len(wanted):
        raise Refused(_("One of the ticked stages is not here any more; nothing was given out."))
    stages = [stage for stage, _ in found]
    seen = preview(stages=stages, to=to, day=day, now=timezone.now())
    if (seen.warnings or seen.worse) and request.POST.get("sure") != "yes":
        context = {"preview": seen, "stages": found, "to": to, "day": day, "back": back_to(request, _plan())}
        return page(request, "office/plan/preview.html", context)

    def act() -> str:
        count = give(stages=found, to=to, by=request.user, now=timezone.now(), planned_on=day)
        messages.success(request, _given(count, to))
        return back_to(request, _plan())

    return once(request, act)


def _given(count: int, to: Any) -> str:
    if to is None:
        words = ngettext("{count} stage given to nobody.", "{count} stages given to nobody.", count)
    else:
        words = ngettext("{count} stage given to {person}.", "{count} stages given to {person}.", count)
    return words.format(count=count, person=to.display_name if to else "")


@require_POST
@for_managers
def plan_pin(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a given stage where it is, or let proposals move it."""
    stage = stage_or_404(request, pk)
    pinned = request.POST.get("pinned") == "yes"

    def act() -> str:
        set_pinned(stage=stage, pinned=pinned, by=request.user, now=timezone.now())
        words = _("{stage} stays where it is.") if pinned else _("{stage} may be moved by a proposal.")
        messages.success(request, words.format(stage=stage))
        return back_to(request, _plan())

    return once(request, act)


def _plan() -> str:
    return reverse("office:plan")


def _day(text: str) -> datetime.date | None:
    day = read_day(text)
    if text and day is None:
        raise Refused(_("Choose the day from the list."))
    return day
