"""Saved views of the list of cases: keeping one, arranging them, and the columns that a person wants."""

from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.office.forms.cases import CaseFilter
from labcases.office.forms.lists import ColumnsForm, ViewForm
from labcases.office.views.cases import address_of
from labcases.pages.addresses import back_to
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import for_managers, version_seen
from labcases.people.actions import lists
from labcases.people.queries import bench_people, view_seen_by, views_seen_by
from labcases.people.refusals import Refused


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def save_view(request: HttpRequest) -> HttpResponse:
    """Keep the list as it is shown, with its filters and columns, under a name."""
    asked = request.POST if request.method == "POST" else request.GET
    form = ViewForm(request.POST if request.method == "POST" else None, user=request.user)
    filters = CaseFilter(QueryDict(asked.get("filters", "")[:400]), people=bench_people())
    columns = ColumnsForm(asked)

    def act() -> str:
        view = lists.save_view(
            name=form.cleaned_data["name"],
            shared_with=form.cleaned_data["shared_with"],
            comes_first=form.cleaned_data["comes_first"],
            filters=filters.kept(),
            columns=columns.cleaned_data["column"] if columns.is_valid() else [],
            by=request.user,
        )
        messages.success(request, _("This list is kept as “{name}”.").format(name=view.name))
        return address_of(view)

    context = {"form": form, "filters": asked.get("filters", ""), "columns": asked.getlist("column")}
    return answer_form(request, form, act) or page(
        request, "office/save_view.html", context, status=status_of(form)
    )


@require_safe
@for_managers
def views(request: HttpRequest) -> HttpResponse:
    found = views_seen_by(request.user)
    context = {"views": [(view, address_of(view)) for view in found]}
    return page(request, "office/views.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def view(request: HttpRequest, pk: int) -> HttpResponse:
    found = _view_or_404(request, pk)
    form = ViewForm(request.POST or None, user=request.user, view=found)

    def act() -> str:
        given = form.cleaned_data
        lists.change_view(view=found, **given, by=request.user, expected_version=version_seen(request))
        messages.success(request, _("“{name}” is kept.").format(name=given["name"]))
        return reverse("office:views")

    context = {"form": form, "view": found, "version": request.POST.get("version") or found.version}
    return answer_form(request, form, act) or page(
        request, "office/view.html", context, status=status_of(form)
    )


@require_POST
@for_managers
def move_view(request: HttpRequest, pk: int) -> HttpResponse:
    found = _view_or_404(request, pk)
    way = request.POST.get("way")
    if way not in ("earlier", "later"):
        raise Refused(_("A saved view moves one place earlier or later."))

    def act() -> str:
        lists.move_view(
            view=found, by=request.user, expected_version=version_seen(request), later=way == "later"
        )
        return reverse("office:views")

    return once(request, act)


@require_POST
@for_managers
def remove_view(request: HttpRequest, pk: int) -> HttpResponse:
    found = _view_or_404(request, pk)

    def act() -> str:
        lists.remove_view(view=found, by=request.user, expected_version=version_seen(request))
        words = _("“{name}” is removed; no case was touched.")
        messages.success(request, words.format(name=found.name))
        return reverse("office:views")

    return once(request, act)


@require_POST
@for_managers
def choose_columns(request: HttpRequest) -> HttpResponse:
    form = ColumnsForm(request.POST)

    def act() -> str:
        if not form.is_valid():
            raise Refused(_("There is no such column."))
        lists.choose_columns(names=form.cleaned_data["column"], by=request.user)
        return _without_view(back_to(request, reverse("office:cases")))

    return once(request, act)


@require_POST
@for_managers
def keys(request: HttpRequest) -> HttpResponse:
    """Switch the single keys of the office's lists on or off for oneself."""
    on = request.POST.get("on") == "yes"

    def act() -> str:
        lists.use_keys(on=on, by=request.user)
        words = (
            _("Single keys work on the lists again.") if on else _("Single keys are switched off for you.")
        )
        messages.success(request, words)
        return back_to(request, reverse("office:cases"))

    return once(request, act)


def _without_view(address: str) -> str:
    """The same list by its filters alone: a saved view's own columns would hide those just chosen."""
    parts = urlsplit(address)
    rest = [pair for pair in parse_qsl(parts.query, keep_blank_values=True) if pair[0] != "view"]
    return f"{parts.path}?{urlencode(rest or [('state', '')])}"


def _view_or_404(request: HttpRequest, pk: int) -> Any:
    found = view_seen_by(request.user, pk) if pk < 2**63 else None
    if found is None:
        raise Http404
    return found
