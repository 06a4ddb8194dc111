from django.forms import BaseForm, BooleanField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.choices import flatten_choices
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
    """What was typed into the form that was refused, without the keys that the page added itself.

    A box has the name that the person read, and a choice its words, where the view said which form it was.
    """
    hidden = {"csrfmiddlewaretoken", "one_time_key", "version", "stage", "back", "password"}
    form = getattr(request, "form_left", None)
    return [
        (_called(name, form), _in_words(name, value, form))
        for name, values in request.POST.lists()
        if name not in hidden and not name.endswith("version")
        for value in values
        if value.strip()
    ]


def _called(name: str, form: BaseForm | None) -> str:
    if form is not None and name in form.fields:
        return str(form[name].label)
    return _(name.replace("_", " ").replace("-", " "))


def _in_words(name: str, value: str, form: BaseForm | None) -> str:
    field = form.fields.get(name) if form is not None else None
    if isinstance(field, BooleanField):
        return _("yes")
    choices = flatten_choices(getattr(field, "choices", ()))
    return next((str(label) for each, label in choices if str(each) == value), value)
