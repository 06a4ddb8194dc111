"""A proposed plan: how it is being improved, what it means for each case, and deciding on it."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from labcases.pages.answers import once, page, wants_fragment
from labcases.pages.gates import case_or_404, for_managers
from labcases.pages.ids import read_ids
from labcases.people.refusals import Refused
from labcases.planning.actions import proposing
from labcases.planning.actions.giving import weigh_case
from labcases.planning.choices import AT_WORK, OPEN_PROPOSALS
from labcases.planning.queries import proposals as reads


@require_POST
@for_managers
def propose(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    first = proposing.first_plan(now=now)

    def act() -> str:
        return _page(proposing.propose(first=first, by=request.user, now=now))

    return once(request, act)


@require_safe
@for_managers
def proposal(request: HttpRequest, pk: int) -> HttpResponse:
    """The proposal; as a fragment only its progress, which reloads the page once there is a result."""
    found, now = _proposal_or_404(pk), timezone.now()
    context = {
        "proposal": found,
        "at_work": found.state in AT_WORK,
        "open": found.state in OPEN_PROPOSALS,
        "silent": reads.is_silent(found, now=now),
        # The lines shown are those of the first plan until the search has ended well.
        "shown_cost": found.greedy_cost if reads.shows_first_plan(found) else found.cost,
        "again": reads.may_be_tried_again(found, now=now),
    }
    if not wants_fragment(request):
        rows = reads.cases_of(found)
        context |= {
            "rows": rows,
            "late": [row for row in rows if row.late_days or row.cause == "nobody"],
            "let_go": [row for row in rows if row.let_go],
        }
    answer = page(request, "office/plan/proposal.html", context, fragment="office/plan/_progress.html")
    if wants_fragment(request) and found.state not in AT_WORK:
        answer["HX-Refresh"] = "true"
    return answer


@require_POST
@for_managers
def proposal_accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Accept everything, or only the ticked lines."""
    found = _proposal_or_404(pk)
    ticked = read_ids(request.POST.getlist("line"))[:2000]

    def act() -> str:
        lines = None if request.POST.get("which") == "all" else ticked
        accepted = proposing.accept(proposal=found, by=request.user, now=timezone.now(), lines=lines)
        _say(request, accepted)
        return reverse("office:plan")

    return once(request, act)


def _say(request: HttpRequest, accepted: proposing.Accepted) -> None:
    if accepted.given:
        count = accepted.given
        words = ngettext(
            "{count} stage is given out as proposed.", "{count} stages are given out as proposed.", count
        )
        messages.success(request, words.format(count=count))
    if accepted.stale:
        names = ", ".join(accepted.stale)
        words = _("Changed by somebody since, so left as it is: {stages}.")
        messages.warning(request, words.format(stages=names))


@require_POST
@for_managers
def proposal_decline(request: HttpRequest, pk: int) -> HttpResponse:
    found = _proposal_or_404(pk)

    def act() -> str:
        proposing.decline(proposal=found, by=request.user)
        messages.success(request, _("Nothing of the proposal was taken."))
        return reverse("office:plan")

    return once(request, act)


@require_POST
@for_managers
def proposal_stop(request: HttpRequest, pk: int) -> HttpResponse:
    found = _proposal_or_404(pk)

    def act() -> str:
        proposing.stop_improving(proposal=found, by=request.user, now=timezone.now())
        return _page(found)

    return once(request, act)


@require_POST
@for_managers
def proposal_again(request: HttpRequest, pk: int) -> HttpResponse:
    found = _proposal_or_404(pk)

    def act() -> str:
        proposing.try_again(proposal=found, by=request.user, now=timezone.now())
        return _page(found)

    return once(request, act)


@require_POST
@for_managers
def case_weight(request: HttpRequest, number: str) -> HttpResponse:
    """How bad a day of lateness of this case is, for the next proposal."""
    case = case_or_404(request, number)
    text = request.POST.get("weight", "")
    if text not in set("123456789"):
        raise Refused(_("A case weighs from 1 to 9."))

    def act() -> str:
        weigh_case(case=case, weight=int(text), by=request.user, now=timezone.now())
        words = _("{number} weighs {weight} in the next proposal.")
        messages.success(request, words.format(number=case.number, weight=text))
        return reverse("office:plan")

    return once(request, act)


def _proposal_or_404(pk: int) -> Any:
    found = reads.proposal_by_id(pk) if pk < 2**63 else None
    if found is None:
        raise Http404
    return found


def _page(found: Any) -> str:
    return reverse("office:proposal", args=[found.pk])
