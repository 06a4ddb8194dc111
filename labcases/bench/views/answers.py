from collections.abc import Callable

from django import forms
from django.http import HttpRequest, HttpResponse

from labcases.pages.answers import once
from labcases.people.refusals import Conflict, NotAllowed, Refused


def once_or_error(request: HttpRequest, form: forms.Form, act: Callable[[], str]) -> HttpResponse | None:
    """Do it once; a refusal that the person can put right goes into the form, not to a page of its own."""
    try:
        return once(request, act)
    except (Conflict, NotAllowed):
        raise
    except Refused as refusal:
        form.add_error(None, refusal.message)
        return None
