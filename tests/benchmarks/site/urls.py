from functools import cache

from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import Context, Template
from django.urls import include, path

from labcases.cases.choices import STILL_OPEN
from labcases.cases.models import Case

ROWS = 50
_LINE = """<!doctype html><title>Cases</title><table>{% for case in cases %}<tr>
<td><a href="/office/cases/{{ case.number }}">{{ case.number }}</a></td><td>{{ case.patient_code }}</td>
<td>{{ case.practice.name }}</td><td>{{ case.current_stage.get_kind_display }}</td>
<td>{{ case.current_stage.get_state_display }}</td><td>{{ case.get_location_display }}</td>
<td>{{ case.current_stage.assignee.display_name }}</td><td>{{ case.current_stage.due_on|date:"j M Y" }}</td>
</tr>{% endfor %}</table>"""


@cache
def _line() -> Template:
    return Template(_LINE)


def floor(request: HttpRequest) -> HttpResponse:
    """The least that a page of this site can be: signed in, through all middleware, the frame with nothing in it."""
    return render(request, "base.html")


def same_rows(request: HttpRequest) -> HttpResponse:
    """The cases of the list's first page by the plainest means: one query, one template with a line for each."""
    cases = (
        Case.objects.filter(state__in=STILL_OPEN)
        .select_related("practice", "current_stage__assignee")
        .order_by(F("current_stage__due_on").asc(nulls_last=True), "number")[:ROWS]
    )
    return HttpResponse(_line().render(Context({"cases": cases})))


urlpatterns = [
    path("floor", floor, name="floor"),
    path("same-rows", same_rows, name="same_rows"),
    path("", include("labcases.config.urls")),
]
