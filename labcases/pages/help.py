"""Help: one page for each audience in the words of its screens, the trade's words, and the hints of first visits."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET, require_POST

from labcases.measurements.standards import schools_in_force
from labcases.pages.addresses import back_to
from labcases.pages.answers import once, page
from labcases.pages.hints import HINTS
from labcases.people.actions.hints import dismiss_hint, show_hints_again
from labcases.people.choices import Role
from labcases.prosthodontics.glossary import PROGRAM_TERMS, TERMS

AUDIENCES = {"office": _("In the office"), "bench": _("At the bench"), "clinic": _("In the clinic")}
OWN = {Role.MANAGER: "office", Role.TECHNICIAN: "bench", Role.CLINICIAN: "clinic"}
# Where a word's meaning is the laboratory's choice between schools, its page says which was made.
CHOSEN = {"Ala-tragus line": "tragus_point", "Canine line": "canine_line", "Mould": "mould_width"}


@require_GET
def own_help(request: HttpRequest) -> HttpResponse:
    return redirect("help_page", OWN[Role(request.user.role)])


@require_GET
def help_page(request: HttpRequest, audience: str) -> HttpResponse:
    if audience not in AUDIENCES:
        raise Http404
    context = {"audience": audience, "title": AUDIENCES[audience], "audiences": AUDIENCES.items()}
    return page(request, f"pages/help/{audience}.html", context)


@require_GET
def glossary(request: HttpRequest) -> HttpResponse:
    schools = schools_in_force(timezone.localdate())
    chosen = {term: schools.words(choice) for term, choice in CHOSEN.items()}
    rows = [(term, chosen.get(term.name, "")) for term in TERMS]
    context = {"terms": rows, "program_terms": PROGRAM_TERMS, "audiences": AUDIENCES.items()}
    return page(request, "pages/help/glossary.html", context)


@require_POST
def put_hint_away(request: HttpRequest, name: str) -> HttpResponse:
    if name not in HINTS:
        raise Http404

    def act() -> str:
        dismiss_hint(hint=name, by=request.user)
        return back_to(request, reverse("home"))

    return once(request, act)


@require_POST
def hints_again(request: HttpRequest) -> HttpResponse:
    def act() -> str:
        show_hints_again(by=request.user)
        return reverse("home")

    return once(request, act)
