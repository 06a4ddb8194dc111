"""The list of cases, and giving many of them out at once."""

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from labcases.cases.numbers import CaseNumberError, parse_case_number
from labcases.cases.queries import find_cases, stages_seen
from labcases.office.forms.cases import CaseFilter
from labcases.pages.answers import once, page
from labcases.pages.gates import for_managers
from labcases.people.queries import bench_people, person_at_bench
from labcases.people.refusals import Refused
from labcases.planning.actions.giving import give

PAGE_SIZE = 25
# As much as the answer to a form is kept with, so that sending it again leads to the same page.
LONGEST_BACK = 400


@require_safe
@for_managers
def cases(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    people = list(bench_people())
    form = CaseFilter(request.GET, people=people)
    wanted = form.wanted()
    listed = Paginator(find_cases(request.user, today=today, **wanted), PAGE_SIZE)
    context = {
        "form": form,
        "filters": [form[name] for name in ("state", "stage", "where", "practice", "person")],
        "page": listed.get_page(request.GET.get("page")),
        "today": today,
        "people": people,
        "filtered": form.is_narrowed(),
        "mistyped": _mistyped(wanted["text"]),
        "here": request.get_full_path(),
    }
    return page(request, "office/cases.html", context, fragment="office/_cases.html")


def _mistyped(text: str) -> str:
    """Why a text that is nearly a case number cannot be one; empty for any other text."""
    bare = "".join(character for character in text if character.isalnum())
    if len(bare) != len("26004175") or not bare[:-1].isdigit():
        return ""
    try:
        parse_case_number(text)
    except CaseNumberError as error:
        return error.message
    return ""


@require_POST
@for_managers
def assign(request: HttpRequest) -> HttpResponse:
    """Give the ticked stages to one person, all of them or none."""
    to = person_at_bench(request.POST.get("to", ""))
    wanted = _versions(request.POST.getlist("stage"))
    if not wanted:
        raise Refused("Tick at least one case to give out.")
    if to is None and request.POST.get("to") != "nobody":
        raise Refused("Choose who shall have the work.")

    def act() -> str:
        found = stages_seen(request.user, wanted)
        if len(found) < len(wanted):
            raise Refused("One of the ticked cases is not here any more; nothing was given out.")
        count = give(stages=found, to=to, by=request.user, now=timezone.now())
        who = to.display_name if to else "nobody"
        messages.success(request, f"{count} {'stage' if count == 1 else 'stages'} given to {who}.")
        return back_to(request, reverse("office:cases"))

    return once(request, act)


def _versions(texts: Iterable[str]) -> dict[int, int]:
    """Stage ids with the versions that the page showed, from "17-3"; what is no such pair is left out."""
    pairs = (text.partition("-") for text in texts)
    return {
        int(pk): int(version)
        for pk, _, version in pairs
        if all(part.isascii() and part.isdigit() and len(part) < 10 for part in (pk, version))
    }


def back_to(request: HttpRequest, otherwise: str) -> str:
    """The page of this site that the form came from."""
    back: Any = request.POST.get("back", "")
    fits = len(back) <= LONGEST_BACK and back.isprintable()
    safe = back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return back if fits and safe else otherwise
