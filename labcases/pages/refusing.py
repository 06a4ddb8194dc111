from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from labcases.people.refusals import Conflict, NotAllowed, Refused

# The boxes that most refused forms have, as they are called on the page that lists what was typed.
BOXES = (
    gettext_noop("agent"),
    gettext_noop("caption"),
    gettext_noop("cause"),
    gettext_noop("decision"),
    gettext_noop("minutes"),
    gettext_noop("minutes required"),
    gettext_noop("name"),
    gettext_noop("note"),
    gettext_noop("outcome"),
    gettext_noop("practice"),
    gettext_noop("reason"),
    gettext_noop("to"),
    gettext_noop("view"),
    gettext_noop("wanted back"),
)


def refusal_page(request: HttpRequest, refusal: Refused) -> HttpResponse:
    """The page for an action that was not done; what the person typed is listed, so that nothing is lost."""
    if isinstance(refusal, NotAllowed):
        template, status = "pages/403.html", 403
    elif isinstance(refusal, Conflict):
        template, status = "pages/409.html", 409
    else:
        template, status = "pages/refused.html", 422
    context = {"refusal": refusal, "typed": typed_values(request), "back": request.path}
    return render(request, template, context, status=status)


def typed_values(request: HttpRequest) -> list[tuple[str, str]]:
    """What was typed into the form that was refused, without the keys that the page added itself."""
    hidden = {"csrfmiddlewaretoken", "one_time_key", "version", "password"}
    return [
        (_(name.replace("_", " ").replace("-", " ")), value)
        for name, values in request.POST.lists()
        if name not in hidden and not name.endswith("version")
        for value in values
        if value.strip()
    ]
