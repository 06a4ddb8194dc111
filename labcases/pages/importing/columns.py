"""What a column of a file can mean: any box of the prescription."""

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.conf import settings
from django.forms import ChoiceField, DateField, Field, ModelChoiceField
from django.utils import translation
from django.utils.choices import flatten_choices
from django.utils.translation import gettext as _

from labcases.cases.choices import DayOrder
from labcases.cases.queries import remembered_headings
from labcases.pages.chairside import RIM_TITLES
from labcases.pages.prescription import DIMENSION, WANTED, PrescriptionForm
from labcases.people.models import User
from labcases.prosthodontics.wording import in_a_sentence

NOT_FROM_A_FILE = ("reason", "keep_unusual", "unusual_seen", "sign")
ORDER, PRACTICE, PRESCRIBER = "order_number", "practice", "prescriber"
DAY_FORMS = {
    DayOrder.DAY_FIRST: ("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%d-%m-%Y"),
    DayOrder.MONTH_FIRST: ("%Y-%m-%d", "%m/%d/%Y", "%m-%d-%Y", "%d.%m.%Y"),
}
DAY_EXAMPLES = {
    DayOrder.DAY_FIRST: "2026-11-30, 30.11.2026, 30/11/2026",
    DayOrder.MONTH_FIRST: "2026-11-30, 11/30/2026",
}


@dataclass(frozen=True)
class Target:
    """One box of the prescription that a column can fill."""

    name: str
    label: str
    field: Field


class NotTaken(ValueError):
    """A cell that its box does not take; the message says what is allowed."""


def targets(user: User, today: datetime.date) -> dict[str, Target]:
    """All boxes that a column can fill, in the prescription's own order."""
    fields = PrescriptionForm(user=user, today=today).fields
    return {
        name: Target(name, _label(name, field), field)
        for name, field in fields.items()
        if name not in NOT_FROM_A_FILE and not name.startswith("read_with_")
    }


def _label(name: str, field: Field) -> str:
    if name.startswith(WANTED):
        return _("Wanted for: {visit}").format(visit=in_a_sentence(field.label))
    if name.startswith(DIMENSION):
        arch = name.removeprefix(DIMENSION).partition("_")[0]
        return _("Prescribed, {rim}: {dimension}").format(
            rim=in_a_sentence(RIM_TITLES[arch]), dimension=field.label
        )
    return str(field.label or name.replace("_", " ").capitalize())


def guessed(headings: Sequence[str], known: Mapping[str, Target]) -> list[str]:
    """What each column most likely means: as in the last file, else by its heading; each box at most once."""
    remembered = remembered_headings(headings)
    by_name = {_bare(text): each.name for each in known.values() for text in (each.name, each.label)}
    taken: set[str] = set()
    found = []
    for heading in headings:
        kept = remembered.get(heading.casefold())
        name = kept if kept is not None else by_name.get(_bare(heading), "")
        name = name if name in known and name not in taken else ""
        taken.add(name)
        found.append(name)
    return found


def _bare(text: str) -> str:
    return re.sub(r"[^0-9a-z]+", "", text.casefold())


def as_typed(target: Target, text: str, *, days_as: str) -> str:
    """What the box would have got from somebody's hands for this cell; NotTaken in words for what fits nothing."""
    if not text:
        return ""
    if isinstance(target.field, ModelChoiceField):
        return text
    if isinstance(target.field, DateField):
        return _day(text, days_as)
    return _choice(target.field, text) if isinstance(target.field, ChoiceField) else text


def _day(text: str, days_as: str) -> str:
    for form in DAY_FORMS[DayOrder(days_as)]:
        try:
            # A day is no moment, so that it has no time zone.
            return datetime.datetime.strptime(text.strip(), form).date().isoformat()  # noqa: DTZ007
        except ValueError:
            continue
    raise NotTaken(_("Not read as a day; allowed: {days}.").format(days=DAY_EXAMPLES[DayOrder(days_as)]))


def _choice(field: ChoiceField, text: str) -> str:
    choices = list(flatten_choices(field.choices))
    for value, label in choices:
        if value and _bare(text) in {_bare(str(value)), *_in_every_language(label)}:
            return str(value)
    labels = ", ".join(str(label) for value, label in choices if value)
    raise NotTaken(_("Allowed: {labels}.").format(labels=labels))


def _in_every_language(label: object) -> set[str]:
    """A file is written in the language of whoever sends it, not of whoever reads it in."""
    found = set()
    for code, _name in settings.LANGUAGES:
        with translation.override(code):
            found.add(_bare(str(label)))
    return found
