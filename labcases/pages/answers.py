"""How a view answers: a whole page or its fragment, from one template and one context."""

from collections.abc import Callable
from typing import Any

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils.cache import patch_vary_headers

from labcases.people.actions.once import do_once
from labcases.people.refusals import Conflict, NotAllowed
from labcases.prosthodontics.errors import LabCasesError


def wants_fragment(request: HttpRequest) -> bool:
    """True only where a fragment is asked for: not for a boosted link and not when Back restores a page."""
    htmx = request.htmx
    return bool(htmx) and not htmx.boosted and not htmx.history_restore_request


def page(
    request: HttpRequest,
    template: str,
    context: dict[str, Any],
    *,
    fragment: str = "",
    status: int = 200,
) -> HttpResponse:
    """Render `template`, or only its included `fragment` file when that is what was asked for."""
    chosen = fragment if fragment and wants_fragment(request) else template
    response = render(request, chosen, context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    if chosen == fragment and request.htmx.current_url_abs_path == request.get_full_path():
        # Asked for once more where the browser is already: the way back must not lead here.
        response.headers["HX-Push-Url"] = "false"
    return response


def once(request: HttpRequest, act: Callable[[], str]) -> HttpResponseRedirect:
    """Do what the form asks, once for its one-time key, and go to the address that `act` returns."""
    answer = do_once(key=request.POST.get("one_time_key", ""), user=request.user, act=act)
    return redirect(answer, permanent=False)


def answer_form(request: HttpRequest, form: BaseForm, act: Callable[[], str]) -> HttpResponseRedirect | None:
    """Do what a valid form asks and lead on; None where the page is to be shown again.

    A refusal joins the form's errors, so that everything typed stays; conflicts have a page of their own.
    """
    if not form.is_valid():
        return None
    try:
        return once(request, act)
    except (Conflict, NotAllowed):
        # Their page lists what was typed by the names that the boxes have.
        request.form_left = form
        raise
    except LabCasesError as refusal:
        form.add_error(None, refusal.message)
        return None


def status_of(form: BaseForm) -> int:
    """422 for a form that came back with something to put right, 200 for one that is shown at first."""
    return 422 if form.is_bound and form.errors else 200
