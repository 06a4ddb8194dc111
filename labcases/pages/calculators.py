"""The calculators: for use without a case, by anyone who is signed in. A result has an address to keep."""

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from labcases.measurements.queries import current_mould_list, plain_moulds
from labcases.measurements.standards import schools_in_force
from labcases.pages.answers import page, status_of
from labcases.pages.calculator_form import SENT, WORDS, CalculatorForm, example_as_typed, with_signs
from labcases.pages.calculator_picture import picture_of
from labcases.prosthodontics.calculators import (
    GROUPS,
    Calculator,
    WorkedExample,
    defaults_by,
    list_calculators,
    worked_examples,
)
from labcases.prosthodontics.calculators import calculator as calculator_called
from labcases.prosthodontics.calculators.inputs import read_document
from labcases.prosthodontics.calculators.propagation import compute_with_uncertainty
from labcases.prosthodontics.calculators.results import Result, Table, Value, figure_text
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.teeth import write_moulds
from labcases.prosthodontics.wording import figure

LONGEST_ADDRESS = 2000
MOMENT = r"\d{4}-\d\d-\d\dT\d\d:\d\d([+-]\d\d:\d\d)?"
NOT_KEPT = ("csrfmiddlewaretoken",)


@dataclass(frozen=True)
class Answer:
    """One figure as the page shows it."""

    value: Value

    @property
    def text(self) -> str:
        return _cell(figure_text(self.value.value, self.value.places))

    @property
    def spread(self) -> str:
        """± of some 95 in 100, where the inputs' uncertainties are known."""
        if not self.value.u:
            return ""
        return figure(figure_text(1.96 * self.value.u, max(self.value.places, 1)))

    @property
    def rests_on(self) -> str:
        return self.value.source.words if self.value.source else ""


@require_safe
def calculators(request: HttpRequest) -> HttpResponse:
    groups = {
        label: [each for each in list_calculators() if each.group == key] for key, label in GROUPS.items()
    }
    return page(request, "pages/calculators/calculators.html", {"groups": groups})


@require_http_methods(["GET", "HEAD", "POST"])
def calculator(request: HttpRequest, name: str) -> HttpResponse:
    """A form and, once there is something to compute, what comes of it. Nothing is kept, whatever is sent."""
    chosen = _called(name)
    typed = request.POST if request.method == "POST" else request.GET
    schools = schools_in_force(timezone.localdate())
    form = CalculatorForm(
        typed.dict() or None,
        calculator=chosen,
        chosen=defaults_by(schools).get(chosen.name, {}),
        site=_of_this_site(chosen),
    )
    result = _result(form)
    context = {
        "calculator": chosen,
        "group": GROUPS[chosen.group],
        "form": form,
        "result": result,
        "steps": [with_signs(step) for step in result.steps] if result else [],
        "tables": [_as_shown(table) for table in result.tables] if result else [],
        "answers": [Answer(value) for value in result.values] if result else [],
        "picture": picture_of(chosen, form.document, result) if result else None,
        "example": urlencode(list(example_as_typed(chosen))),
        "address": _address(request, typed) if result and form.is_bound else "",
        "sent": SENT,
    }
    return page(request, "pages/calculators/calculator.html", context, status=status_of(form))


@require_safe
def examples(request: HttpRequest) -> HttpResponse:
    """How these figures come about: every calculator on its example, beside figures from elsewhere."""
    worked = worked_examples()
    context = {"groups": _by_group(worked), "checks": sum(len(each.checked) for each in worked)}
    return page(request, "pages/calculators/examples.html", context)


def _as_shown(table: Table) -> dict[str, Any]:
    rows = [
        [(column, _cell(cell)) for column, cell in zip(table.columns, row, strict=True)] for row in table.rows
    ]
    return {"title": table.title, "columns": table.columns, "rows": rows}


def _cell(cell: Any) -> str:
    """A figure with its sign, a time as people say it, words as they are."""
    if cell is None:
        return "–"
    text = str(cell)
    if re.fullmatch(MOMENT, text):
        at = datetime.datetime.fromisoformat(text)
        return f"{date_format(at, _('D j M Y'))}, {at:%H:%M}"
    return with_signs(figure(text)) if re.fullmatch(r"-?[\d.,]+", text) else text


def _called(name: str) -> Calculator:
    try:
        return calculator_called(name)
    except InputError as error:
        raise Http404 from error


def _of_this_site(chosen: Calculator) -> dict[str, object]:
    """The site's clock and the laboratory's mould list, for the calculators that ask for them."""
    asked = {each.name for each in chosen.inputs}
    found: dict[str, object] = {}
    if "time_zone" in asked:
        found["time_zone"] = settings.TIME_ZONE
    if "moulds" in asked and (moulds := plain_moulds(current_mould_list())):
        found["moulds"] = write_moulds(moulds)
    return found


def _result(form: CalculatorForm) -> Result | None:
    """What comes of the boxes; None while something that is needed is missing, or wrong."""
    if form.is_bound and not form.is_valid():
        return None
    try:
        given = read_document(form.document, form.calculator.inputs)
        return compute_with_uncertainty(form.calculator, given)
    except InputError as error:
        if form.is_bound:
            form.refuse(error)
        return None


def _address(request: HttpRequest, typed: Any) -> str:
    """Where this result is found again; empty where the figures are too many for an address."""
    kept = [(name, value) for name, value in typed.items() if name not in NOT_KEPT and value]
    query = urlencode(kept)
    return f"{request.path}?{query}" if len(query) <= LONGEST_ADDRESS else ""


def _by_group(worked: Iterable[WorkedExample]) -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {label: [] for label in GROUPS.values()}
    for each in worked:
        address = reverse("calculator", args=[each.calculator.name])
        query = urlencode(list(example_as_typed(each.calculator)))
        found[GROUPS[each.calculator.group]].append(
            {
                "calculator": each.calculator,
                "given": _given_in_words(each.calculator),
                "steps": [with_signs(step) for step in each.result.steps],
                "checked": each.checked,
                "agreeing": sum(line.agrees for line in each.checked),
                "address": f"{address}?{query}" if query else address,
            }
        )
    return found


def _given_in_words(chosen: Calculator) -> list[tuple[str, str]]:
    typed = dict(example_as_typed(chosen))
    return [
        (each.label, f"{_as_given(typed[each.name])} {each.unit}".strip())
        for each in chosen.inputs
        if each.name in chosen.example
    ]


def _as_given(text: str) -> str:
    return figure(text) if re.fullmatch(r"-?[\d.]+", text) else str(WORDS.get(text, text))
