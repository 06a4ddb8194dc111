"""The form of a calculator, made from its inputs. What is typed is read by the calculator itself."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.prosthodontics.arch import MODELS
from labcases.prosthodontics.calculators import Calculator, Input, Kind, document_from_texts
from labcases.prosthodontics.calculators.options import OPTION_WORDS
from labcases.prosthodontics.calculators.typed import UNCERTAINTY
from labcases.prosthodontics.conformity import Rule
from labcases.prosthodontics.errors import InputError, shown
from labcases.prosthodontics.materials import CURING_CYCLES
from labcases.prosthodontics.papilla import PapillaPoint
from labcases.prosthodontics.uncertainty import INSTRUMENTS
from labcases.prosthodontics.wording import figure

LONGEST = 60_000
LONG_KINDS = (Kind.TEXT, Kind.NUMBERS, Kind.COUNTS, Kind.ROWS)
LINES = {Kind.ROWS: 4, Kind.TEXT: 6}
LIST_HINTS = {
    Kind.NUMBERS: _("Figures parted by spaces or line ends."),
    Kind.COUNTS: _("Whole numbers parted by spaces or line ends."),
    Kind.ROWS: _("One line each, its figures parted by spaces."),
}
# A box that was left unticked sends nothing; this says that the form was sent at all.
SENT = "sent"
WORDS: Mapping[str, str] = {
    **MODELS,
    **{each.value: each.words for each in PapillaPoint},
    **{each.value: each.words for each in Rule},
    **{name: each.label for name, each in INSTRUMENTS.items()},
    **{name: each.label for name, each in CURING_CYCLES.items()},
    **OPTION_WORDS,
}


@dataclass(frozen=True)
class CalculatorBox:
    """One input with its box. `is_own`: what stands in it is the laboratory's own choice."""

    input: Input
    bound: BoundField
    is_own: bool

    @property
    def size(self) -> str:
        return "figure" if self.input.kind in (Kind.NUMBER, Kind.COUNT) else ""

    @property
    def is_wide(self) -> bool:
        return self.input.kind not in (Kind.NUMBER, Kind.COUNT)

    @property
    def is_never_empty(self) -> bool:
        return self.input.required or self.input.default is not None

    @property
    def beside(self) -> str:
        return gettext("lab standard") if self.is_own else ""


class CalculatorForm(forms.Form):
    """`typed` are the texts of an address or a form; None or empty shows the form with its defaults.

    `chosen` are the laboratory's own defaults, `site` those of this site such as its clock; what no one gave at
    all is taken from them, an emptied box is not.
    """

    def __init__(
        self,
        typed: Mapping[str, str] | None,
        *,
        calculator: Calculator,
        chosen: Mapping[str, object],
        site: Mapping[str, object],
    ) -> None:
        self.calculator, self.chosen, self.defaults = calculator, chosen, {**site, **chosen}
        super().__init__(_completed(typed, calculator, self.defaults) if typed else None)
        for each in calculator.inputs:
            self.fields[each.name] = _field(each, self.defaults.get(each.name, each.default))
        for each in self._uncertain:
            self.fields[each.name + UNCERTAINTY] = _figure(each.label, each)
        for field in self.fields.values():
            field.error_messages["required"] = _("This is needed to compute anything.")

    @property
    def _uncertain(self) -> list[Input]:
        return [each for each in self.calculator.inputs if each.kind is Kind.NUMBER]

    @property
    def boxes(self) -> list["CalculatorBox"]:
        """The inputs in order."""
        own = _texts(self.calculator, self.chosen)
        return [
            CalculatorBox(
                each, self[each.name], is_own=each.name in own and self[each.name].value() == own[each.name]
            )
            for each in self.calculator.inputs
        ]

    @property
    def uncertainties(self) -> list[BoundField]:
        return [self[each.name + UNCERTAINTY] for each in self._uncertain]

    @property
    def has_uncertainties(self) -> bool:
        return any(box.value() for box in self.uncertainties)

    @property
    def is_long(self) -> bool:
        """Whether it takes lists or texts, which an address may be too short for."""
        return any(each.kind in LONG_KINDS for each in self.calculator.inputs)

    @property
    def document(self) -> dict[str, object]:
        """The document of what stands in the boxes, for the calculator to read."""
        texts = self.data if self.is_bound else _texts(self.calculator, self.defaults)
        return document_from_texts(self.calculator, texts)

    def refuse(self, error: InputError) -> None:
        """Put a refusal of the calculator at the box that it is about, or on top of the form."""
        name = re.split(r"[.\[]", error.field)[0]
        box = name + UNCERTAINTY if error.field == f"{name}.u" else name
        if error.value is None:
            allowed = str(error.allowed)
            said = f"{allowed[:1].upper()}{allowed[1:]}."
        else:
            words = gettext("{value} is not taken; allowed: {allowed}.")
            said = words.format(value=shown(error.value), allowed=error.allowed)
        if box in self.fields:
            self.add_error(box, _with_words(said))
        else:
            label = str(error.field).replace("_", " ")
            self.add_error(None, _with_words(f"{label[:1].upper()}{label[1:]}: {said}"))


def _completed(
    typed: Mapping[str, str], calculator: Calculator, defaults: Mapping[str, object]
) -> dict[str, str]:
    """What was typed, with the laboratory's defaults for names that were not sent at all."""
    own = _texts(calculator, _all_defaults(calculator, defaults))
    if SENT in typed:
        flags = {each.name for each in calculator.inputs if each.kind is Kind.FLAG}
        own = {name: text for name, text in own.items() if name not in flags}
    return {**own, **{name: typed[name] for name in typed}}


def _all_defaults(calculator: Calculator, defaults: Mapping[str, object]) -> dict[str, object]:
    own = {each.name: each.default for each in calculator.inputs if each.default is not None}
    return {**own, **defaults}


def _texts(calculator: Calculator, defaults: Mapping[str, object]) -> dict[str, str]:
    kinds = {each.name: each.kind for each in calculator.inputs}
    return {
        name: _text(value)
        for name, value in defaults.items()
        if name in kinds and not (kinds[name] is Kind.FLAG and not value)
    }


def _text(value: object) -> str:
    """A figure as people write it, without a float's last digits."""
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def example_as_typed(calculator: Calculator) -> Iterator[tuple[str, str]]:
    """The worked example as a form would send it, whole, so that no laboratory's own default alters it."""
    yield SENT, "1"
    for each in calculator.inputs:
        value = calculator.example.get(each.name, each.default)
        if value is not None and value is not False:
            yield each.name, _listed(value) if each.kind in LIST_HINTS else _text(value)


def _listed(value: Any) -> str:
    rows = any(isinstance(each, list) for each in value)
    return "\n".join(_listed(row) for row in value) if rows else " ".join(str(each) for each in value)


def _field(each: Input, default: object) -> forms.Field:
    match each.kind:
        case Kind.CHOICE:
            choices = [(key, _in_words(key)) for key in each.options]
            first = [] if default is not None else [("", _("Choose"))]
            return forms.ChoiceField(
                label=each.label, choices=first + choices, initial=default, required=each.required
            )
        case Kind.FLAG:
            return forms.BooleanField(label=each.label, required=False, initial=bool(default))
        case Kind.NUMBER | Kind.COUNT:
            return _figure(each.label, each, default=default, hint=_range(each), required=each.required)
        case Kind.MOMENT:
            box = forms.DateTimeInput(attrs={"type": "datetime-local"})
            return forms.CharField(label=each.label, widget=box, required=each.required)
        case Kind.TEXT if each.default is not None:
            return forms.CharField(label=each.label, required=False, initial=default, max_length=200)
    area = forms.Textarea(attrs={"rows": LINES.get(each.kind, 2), "spellcheck": "false"})
    hint = f"{LIST_HINTS[each.kind]} {_range(each)}".strip() if each.kind in LIST_HINTS else ""
    return forms.CharField(
        label=_with_unit(each),
        widget=area,
        required=each.required,
        initial=default,
        help_text=hint,
        max_length=LONGEST,
    )


def _figure(
    label: str, each: Input, *, default: object = None, hint: str = "", required: bool = False
) -> forms.CharField:
    field = forms.CharField(
        label=label,
        required=required,
        max_length=40,
        initial="" if default is None else _text(default),
        help_text=hint,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    field.unit = each.unit if each.kind is Kind.NUMBER else "count"
    return field


def _range(each: Input) -> str:
    if each.low is None:
        return ""
    low, high = (figure(f"{limit:g}") for limit in (each.low, each.high))
    return gettext("{low} to {high}").format(low=low, high=high).replace("-", "−")


def _with_unit(each: Input) -> str:
    words = gettext("{label}, in {unit}")
    return words.format(label=each.label, unit=each.unit) if each.unit else str(each.label)


def _with_words(refusal: str) -> str:
    """A refusal of the core with its units and signs as pages write them."""
    return with_signs(re.sub(r"\bdeg\b", gettext("degrees"), refusal))


def with_signs(text: str) -> str:
    """A text of the core with the minus sign that pages write."""
    return re.sub(r"(?<![\w.])-(?=\d)", "−", text)


def _in_words(key: str) -> str:
    words = str(WORDS.get(key, key.replace("_", " ")))
    return words[:1].upper() + words[1:]
