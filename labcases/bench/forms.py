"""What is typed at the bench: the sheet with figures and ticks, a correction, the reason for finishing."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from django import forms
from django.conf import settings
from django.utils import translation
from django.utils.translation import get_language, gettext, gettext_noop
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import arch_in_words
from labcases.measurements.actions.readings import MOST_REPEATS, Entry
from labcases.measurements.queries import Box
from labcases.pages.fields import FigureField, PlainSelect
from labcases.pages.templatetags.trade import UNIT_SIGNS, mm
from labcases.prosthodontics.quantities import Quantity
from labcases.prosthodontics.uncertainty import instruments_for
from labcases.prosthodontics.wording import Words

AS_ABOVE = ("", _("As chosen above"))
UNIT_LABELS = {"mm": _("Millimetres measured with"), "deg": _("Angles measured with")}
# Why a standing figure is replaced (common practice, no source); anything else is written.
CORRECTION_REASONS = (
    gettext_noop("Work changed, then measured again"),
    gettext_noop("Measured again, work unchanged"),
    gettext_noop("Read or typed wrongly"),
    gettext_noop("Entered at the wrong figure"),
)


def instrument_choices(unit: str) -> list[tuple[str, str]]:
    return list(_instruments(unit, get_language()))


@lru_cache
def _instruments(unit: str, language: str | None) -> tuple[tuple[str, str], ...]:
    """The words are looked up once for each language and not for each of forty lists."""
    return tuple((name, str(each.label)) for name, each in instruments_for(unit).items())


def unusual_in_words(quantity: Quantity, values: Iterable[Any]) -> str:
    """Empty where every value is a usual one."""
    unusual = [mm(value) for value in values if quantity.is_unusual(value)]
    if not unusual:
        return ""
    sign = UNIT_SIGNS[quantity.unit]
    unit = sign if sign == "°" or not sign else f" {sign}"
    low, high = (mm(limit) for limit in quantity.unusual)
    words = gettext(
        "{figures}{unit} is unusual, mostly it is {low} to {high}{unit}. Look once more; keep it if it is so."
    )
    return words.format(figures=f" {gettext('and')} ".join(unusual), unit=unit, low=low, high=high)


class SheetForm(forms.Form):
    """Everything that can be typed on a bench sheet; whichever button sends it, all of it is kept.

    `boxes` are the figures to take, `steps` the stage's checklist. `kept` are the keys of boxes whose unusual
    figures were confirmed. After validation `entries` holds the figures, `asks` the boxes to be confirmed.
    """

    hold_reason = forms.CharField(
        label=_("Why it is put on hold"), max_length=400, required=False, widget=forms.TextInput
    )

    def __init__(
        self,
        *args: Any,
        boxes: Sequence[Box],
        steps: Sequence[Any] = (),
        holding: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.holding = holding
        self.all_boxes = tuple(boxes)
        self.steps = tuple(steps)
        self.entries: list[Entry] = []
        self.asks: dict[str, str] = {}
        for unit in ("mm", "deg"):
            if any(box.quantity.unit == unit for box in boxes):
                self._add_instrument(unit)
        for box in boxes:
            self._add_box(box)

    def _add_instrument(self, unit: str) -> None:
        self.fields[f"instrument_{unit}"] = forms.ChoiceField(
            label=UNIT_LABELS[unit],
            choices=instrument_choices(unit),
            required=False,
            widget=PlainSelect,
        )

    def _add_box(self, box: Box) -> None:
        for name in self.readings_of(box):
            number = name.rpartition("-")[2]
            label = reading_label(label_of(box), number)
            self.fields[name] = FigureField(box.quantity.name, label=label, help_text="")
            self.fields[name].widget.attrs["enterkeyhint"] = "next"
        if f"instrument_{box.quantity.unit}" in self.fields:
            self.fields[f"{box.key}-instrument"] = forms.ChoiceField(
                label=gettext("Other instrument for {label}").format(label=label_of(box)),
                choices=[AS_ABOVE, *instrument_choices(box.quantity.unit)],
                required=False,
                widget=PlainSelect,
            )

    @staticmethod
    def readings_of(box: Box) -> list[str]:
        return [f"{box.key}-{number}" for number in range(1, MOST_REPEATS + 1)]

    @property
    def kept(self) -> list[str]:
        return self.data.getlist("keep") if self.is_bound else []

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for box in self.all_boxes:
            self._read(box, cleaned)
        if self.holding and not cleaned.get("hold_reason", "").strip():
            self.add_error("hold_reason", gettext("Say why the stage is put on hold."))
        return cleaned

    def _read(self, box: Box, cleaned: dict[str, Any]) -> None:
        values = tuple(cleaned[name] for name in self.readings_of(box) if cleaned.get(name) is not None)
        if not values:
            return
        words = "" if box.key in self.kept else unusual_in_words(box.quantity, values)
        if words:
            self.asks[box.key] = words
            self.add_error(self.readings_of(box)[0], words)
        general = cleaned.get(f"instrument_{box.quantity.unit}", "")
        own = cleaned.get(f"{box.key}-instrument", "")
        self.entries.append(
            Entry(
                quantity=box.quantity.name,
                arch=box.arch,
                values=values,
                instrument=own or general,
                confirmed=box.key in self.kept,
            )
        )

    @property
    def ticks(self) -> list[tuple[Any, bool]]:
        """Steps whose tick the person changed, with what it shall be.

        What the page showed comes with the form, so that a tick which somebody else set meanwhile stays.
        """
        seen, now = set(self.data.getlist("step_seen")), set(self.data.getlist("step"))
        shown = set(self.data.getlist("step_shown"))
        return [
            (step, str(step.pk) in now)
            for step in self.steps
            if str(step.pk) in shown and (str(step.pk) in now) != (str(step.pk) in seen)
        ]


def label_of(box: Box) -> str:
    """A figure's name as its specification calls it, with its arch."""
    name = str(Words(box.line.label if box.line else box.quantity.label))
    return f"{name}, {arch_in_words(box.arch)}" if box.arch else name


def reading_label(name: str, number: int | str) -> str:
    return gettext("{name}, reading {number}").format(name=name, number=number)


class CorrectionForm(forms.Form):
    """A figure in the place of one that stands; the reason is chosen or written."""

    reason = forms.ChoiceField(
        label=_("Why it is corrected"),
        choices=[*((reason, _(reason)) for reason in CORRECTION_REASONS), ("other", _("Something else"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("Say why the figure is corrected.")},
    )
    other = forms.CharField(label=_("In your own words"), max_length=300, required=False)

    def __init__(self, *args: Any, quantity: Quantity, arch: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.quantity, self.arch = quantity, arch
        self.asks = ""
        own: dict[str, forms.Field] = {}
        for number in range(1, MOST_REPEATS + 1):
            label = reading_label(str(quantity.label), number)
            own[f"reading-{number}"] = FigureField(quantity.name, label=label, help_text="")
        if choices := instrument_choices(quantity.unit):
            own["instrument"] = forms.ChoiceField(label=_("Measured with"), choices=choices)
        self.fields = {**own, **self.fields}

    @property
    def readings(self) -> list[forms.BoundField]:
        return [self[f"reading-{number}"] for number in range(1, MOST_REPEATS + 1)]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        self.values = tuple(cleaned[box.name] for box in self.readings if cleaned.get(box.name) is not None)
        if not self.values and not any(box.errors for box in self.readings):
            self.add_error("reading-1", gettext("Enter at least one reading."))
        if "keep" not in self.data and (words := unusual_in_words(self.quantity, self.values)):
            self.asks = words
            self.add_error("reading-1", words)
        if cleaned.get("reason") == "other" and not cleaned.get("other", "").strip():
            self.add_error("other", gettext("Say in your own words why the figure is corrected."))
        return cleaned

    @property
    def entry(self) -> Entry:
        return Entry(
            quantity=self.quantity.name,
            arch=self.arch,
            values=self.values,
            instrument=self.cleaned_data.get("instrument", ""),
            confirmed="keep" in self.data,
        )

    @property
    def reason_in_words(self) -> str:
        """What is kept for all, so in the laboratory's language; what was typed stays as it was."""
        chosen, other = self.cleaned_data["reason"], self.cleaned_data["other"].strip()
        if chosen == "other":
            return other
        with translation.override(settings.LANGUAGE_CODE):
            said = gettext(chosen)
        return f"{said}: {other}" if other else said


class FinishForm(forms.Form):
    reason = forms.CharField(
        label=_("Why it is finished all the same"),
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say why the stage is finished all the same.")},
    )
