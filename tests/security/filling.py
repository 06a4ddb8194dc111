"""Fills a form in as somebody who knows the work would, and looks at what became of the rows."""

import datetime
import itertools
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.apps import apps
from django.db import models
from django.test import Client
from django.utils import timezone

from labcases.people.models import Session
from tests.security.browsing import Box, Form

TYPED, FILLED = itertools.count(10), itertools.count()
# By the name of the field; "" leaves it empty.
FIXED = {
    "minutes": "10",
    "minutes_required": "10",
    "patient_age": "70",
    "password": "",
    "text": None,
}
# Hours and regions, which no word of ours can be.
AS_IT_STANDS = re.compile(r"(opens|closes|cut_off)_\d|(from|until)_time$|region$")
TICKED = ("stage",)
MOST_FIGURES = 2


def filled(form: Form) -> dict[str, list[str]]:
    """The form as a browser sends it, with a text of its own in every box that takes one."""
    sent = form.defaults()
    figures, days, shift = 0, 0, next(FILLED) % 7
    for box in form.boxes:
        if not box.name or box.kind in ("hidden", "file", "submit"):
            continue
        if "data-usual-low" in box.attributes:
            figures += not box.value
            if not box.value and figures <= MOST_FIGURES:
                sent[box.name] = [_usual(box)]
            continue
        if box.kind == "date":
            days += 1
            sent[box.name] = [str(_day(7 * days + shift))]
            continue
        value = _choice(form, box, sent) if box.kind in ("select", "radio", "checkbox") else _text(box)
        if value is not None:
            sent[box.name] = value
    return sent


def _day(later: int) -> datetime.date:
    """Another day than stood there, and than the form was filled in with before."""
    return timezone.localdate() + datetime.timedelta(days=60 + later)


def _usual(box: Box) -> str:
    low, high = (Decimal(box.attributes[f"data-usual-{end}"]) for end in ("low", "high"))
    return f"{(low + high) / 2:.1f}"


def _choice(form: Form, box: Box, sent: dict[str, list[str]]) -> list[str] | None:
    if box.name in TICKED and box.kind == "checkbox":
        return [each.value for each in form.boxes if each.name == box.name]
    if box.kind == "radio" and box.name not in sent:
        return [box.value]
    if re.fullmatch(r"stage_\d+", box.name):
        return [""] if box.value == _last_on_path(form) else None
    needed = "required" in box.attributes or box.name == "to"
    if box.kind == "select" and not box.value and needed:
        return [next(option for option in box.options if option)]
    return None


def _last_on_path(form: Form) -> str:
    return [box.value for box in form.boxes if re.fullmatch(r"stage_\d+", box.name) and box.value][-1]


def _text(box: Box) -> list[str] | None:
    if box.name in FIXED:
        fixed = FIXED[box.name]
        return None if fixed is None else [fixed]
    if re.fullmatch(r"[\d.]+", box.value) or AS_IT_STANDS.match(box.name):
        return None
    if box.name == "steps":
        return [f"{box.value}\nTyped{next(TYPED)}"]
    if box.kind == "email":
        return [f"Typed{next(TYPED)}@practice.example"]
    longest = int(box.attributes.get("maxlength") or 100)
    return [f"Typed{next(TYPED)}"[-longest:]]


def typed_in(form: Form, sent: dict[str, list[str]]) -> Iterator[str]:
    """What somebody typed, as against what stood there before."""
    before = form.defaults()
    typed = {box.name for box in form.boxes if box.is_typed and box.kind != "password"}
    for name in typed & set(sent):
        if sent[name] != before.get(name):
            yield from (value for value in sent[name] if value)


def send(client: Client, form: Form, sent: dict[str, list[str]], *, key: str):
    answer = client.post(form.address, {**sent, "one_time_key": [key]})
    answer.getvalue()
    return answer


def our_models() -> Iterable[type[models.Model]]:
    """A session is written at every turn, whatever is asked; who may have one is tested apart."""
    return [
        each for each in apps.get_models() if each.__module__.startswith("labcases.") and each is not Session
    ]


Rows = dict[str, list[dict[str, object]]]


def rows() -> Rows:
    """Every row that there is, in the order in which they were made."""
    return {each._meta.label: list(each._default_manager.order_by("pk").values()) for each in our_models()}
