"""Form fields that read figures the one way this product reads them."""

import datetime
import secrets
from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from html import escape
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.html import format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from labcases.pages.days import EARLIEST, LATEST, can_be_meant
from labcases.prosthodontics.errors import InputError, shown
from labcases.prosthodontics.quantities import Quantity, quantity, read_figure


def _attributes(values: dict[str, Any]) -> str:
    """What stands in a tag, as `flatatt` writes it, at a fifth of its price."""
    there = ((name, value) for name, value in values.items() if value is not None and value is not False)
    return "".join(
        f" {name}" if value is True else f' {name}="{escape(str(value))}"' for name, value in there
    )


class PlainInput(forms.TextInput):
    """A box written without a template: a sheet of two arches has a hundred and fifty."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        own = {"type": self.input_type, "name": name, "value": self.format_value(value)}
        return mark_safe(f"<input{_attributes({**own, **self.build_attrs(self.attrs, attrs)})}>")


class PlainSelect(forms.Select):
    """A list written without a template for each option: a sheet of two arches has forty lists of eleven."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        choices = tuple((str(key), str(label)) for key, label in self.choices)
        own = _attributes(self.build_attrs(self.attrs, {"name": name, **(attrs or {})}))
        return mark_safe(f"<select{own}>{_options(choices, '' if value is None else str(value))}</select>")


@lru_cache(maxsize=500)
def _options(choices: tuple[tuple[str, str], ...], chosen: str) -> SafeString:
    return format_html_join(
        "",
        '<option value="{}"{}>{}</option>',
        ((key, " selected" if key == chosen else "", label) for key, label in choices),
    )


class FigureField(forms.CharField):
    """A typed figure of one quantity; cleans to a Decimal or None, refuses in words with what is allowed."""

    def __init__(self, name: str, **kwargs: Any) -> None:
        self.quantity: Quantity = quantity(name)
        kwargs.setdefault("label", self.quantity.label)
        kwargs.setdefault("help_text", self.quantity.how)
        kwargs.setdefault("required", False)
        kwargs.setdefault("max_length", 40)
        super().__init__(widget=PlainInput(attrs=self._attributes()), **kwargs)
        self.unit = self.quantity.unit

    def _attributes(self) -> dict[str, str]:
        low, high = self.quantity.unusual
        return {
            # A phone's decimal pad has no minus sign, so a figure that may be negative gets all keys.
            "inputmode": "text" if self.quantity.negative else "decimal",
            "autocomplete": "off",
            "data-usual-low": str(low),
            "data-usual-high": str(high),
            "data-unit": self.quantity.unit,
        }

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        if not text.strip():
            return None
        try:
            return read_figure(self.quantity.name, text)
        except InputError as error:
            raise forms.ValidationError(
                _("{value} is not taken; allowed: {allowed}.").format(
                    value=shown(error.value), allowed=error.allowed
                )
            ) from error


class DayField(forms.DateField):
    """A day that can be meant; its box is the browser's own calendar, or plain text where there is none."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
        # Typed, the day comes before the month, in whatever language the page is.
        super().__init__(widget=widget, input_formats=["%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y"], **kwargs)

    def clean(self, value: Any) -> datetime.date | None:
        day = super().clean(value)
        if day is not None and not can_be_meant(day):
            raise forms.ValidationError(
                _("Give a year from {first} to {last}.").format(first=EARLIEST.year, last=LATEST.year)
            )
        return day


def is_used(boxes: Iterable[BoundField], *, leave: str = "") -> bool:
    """Whether any box holds something, or something to put right; `leave` is a choice that says nothing."""
    return any(box.errors or box.value() not in (None, False, "", leave) for box in boxes)


def new_one_time_key() -> str:
    return secrets.token_urlsafe(24)
