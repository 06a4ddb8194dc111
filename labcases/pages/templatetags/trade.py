"""Tags and filters that every page has without loading them: figures, days, marks, form parts, the way.

They put values into words and choose a shape; no rule of the trade is decided here.
"""

import datetime
from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django import template
from django.forms import BoundField
from django.forms.widgets import (
    CheckboxInput,
    CheckboxSelectMultiple,
    DateInput,
    Input,
    PasswordInput,
    RadioSelect,
    Select,
    Textarea,
)
from django.template.loader import render_to_string
from django.utils import formats, timezone
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, gettext, ngettext
from django.utils.translation import gettext_lazy as _

from labcases.pages.crossing import STATE_WORDS, Form, Stop, layout_crossing, stops_in_words
from labcases.pages.fields import new_one_time_key
from labcases.pages.hints import hint_for
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.wording import figure, in_a_sentence
from labcases.tickets.drawing.sketches import sketch_of
from labcases.tickets.drawing.sketches.work import usual_work

register = template.Library()

UNIT_SIGNS = {"mm": "mm", "deg": "°", "%": "%", "min": "min", "count": ""}
UNIT_WORDS = {
    "mm": "mm",
    "deg": _("degrees"),
    "%": _("per cent"),
    "min": _("minutes"),
    "count": _("a whole number"),
}
VERDICTS = {
    "within": ("within", "within", _("within")),
    "outside": ("outside", "outside", _("outside")),
    "measure again": ("again", "again", _("measure again")),
}
BASES = {
    "prescribed": ("prescribed", _("prescribed")),
    "computed": ("computed", _("computed")),
    "lab standard": ("standard", _("lab standard")),
}
STATE_ICONS = {
    "waiting": "open-ring",
    "in_progress": "ringed",
    "on_hold": "hold",
    "done": "ok",
    "returned": "back",
    "skipped": "dashed",
}


# ---- forms that are answered once ----


@register.simple_tag
def one_time_key() -> SafeString:
    """The hidden key by which a form sent twice is answered once."""
    return format_html('<input type="hidden" name="one_time_key" value="{}">', new_one_time_key())


# ---- words for values ----


@register.filter
def mm(value: Decimal | None, places: int | None = None) -> str:
    """A figure without its unit, in the decimal mark of the reader's language; a dash where there is none."""
    if value is None or value == "":
        return "–"
    mark = formats.get_format("DECIMAL_SEPARATOR")
    return format_millimetres(Decimal(value), places=places, decimal_mark=mark)


@register.filter
def decimal_mark(text: object) -> str:
    """A number that was written with a point, with the decimal mark of the reader's language."""
    return figure(str(text))


@register.filter
def unit_sign(unit: str) -> str:
    return UNIT_SIGNS.get(unit, unit)


@register.filter
def day(value: datetime.date | datetime.datetime | None) -> str:
    """A day as people say it: "Thu 26 Nov", with the year where it is not this one."""
    if value is None or value == "":
        return ""
    moment = timezone.localtime(value) if _is_aware(value) else value
    is_this_year = moment.year == timezone.localdate().year
    return _day(datetime.date(moment.year, moment.month, moment.day), is_this_year, get_language())


@lru_cache(maxsize=2000)
def _day(value: datetime.date, is_this_year: bool, language: str | None) -> str:
    return formats.date_format(value, gettext("D j M") if is_this_year else gettext("D j M Y"))


@register.filter
def moment(value: datetime.datetime | None) -> str:
    """A day with its time: "Thu 26 Nov, 14:05"."""
    if value is None or value == "":
        return ""
    local = timezone.localtime(value) if _is_aware(value) else value
    return f"{day(value)}, {formats.date_format(local, 'H:i')}"


@register.filter
def in_sentence(label: object) -> str:
    """A label within a sentence: in place of `lower`, which would spoil the nouns of German."""
    return in_a_sentence(str(label))


def _is_aware(value: object) -> bool:
    return isinstance(value, datetime.datetime) and timezone.is_aware(value)


# ---- shapes with words ----


@register.simple_tag
def icon(name: str, label: str = "", size: str = "") -> SafeString:
    """A drawing of the sprite. Without a label it is decoration and silent."""
    return _drawn("parts/_icon.html", name=name, label=str(label), size=str(size))


@lru_cache(maxsize=2000)
def _drawn(template: str, **values: str) -> SafeString:
    """A small part that is the same whenever its values are, so it is drawn once: a list has a hundred of them.

    Words are among the values, in the reader's language; a template of this kind has none of its own.
    """
    return render_to_string(template, values)


@register.inclusion_tag("parts/_verdict.html")
def verdict(value: str, words: str = "") -> dict[str, Any]:
    """Within ●, outside ▲ or measure again ◆; `words` says by how much."""
    name, shape, word = VERDICTS[str(value)]
    return {"name": name, "shape": shape, "word": word, "words": words}


@register.inclusion_tag("parts/_basis.html")
def basis(value: str) -> dict[str, Any]:
    name, word = BASES[str(value)]
    return {"name": name, "word": word}


@register.simple_tag
def state(value: str, words: str = "") -> SafeString:
    """The state of a stage: shape and word."""
    word = str(words or STATE_WORDS[str(value)].capitalize())
    name = str(value).replace("_", "-")
    return _drawn("parts/_state.html", name=name, shape=STATE_ICONS[str(value)], word=word)


@register.simple_tag
def due(on: datetime.date | None, today: datetime.date | None = None) -> SafeString:
    """The day something is wanted, and how far off that is in words, counted in calendar days."""
    if not on:
        return _drawn("parts/_due.html", name="none", words=gettext("no date"))
    days = (on - (today or timezone.localdate())).days
    spoken = {"day": day(on), "words": _due_words(days)}
    return _drawn("parts/_due.html", name=_due_name(days), date=on.isoformat(), **spoken)


def _due_name(days: int) -> str:
    if days < 0:
        return "late"
    return "soon" if days <= 1 else "fine"


def _due_words(days: int) -> str:
    if days < 0:
        return ngettext("{days} day late", "{days} days late", -days).format(days=-days)
    if days > 1:
        return gettext("in {days} days").format(days=days)
    return gettext("tomorrow") if days else gettext("today")


# ---- parts of a form ----


@register.inclusion_tag("parts/_field.html")
def field(bound: BoundField, **options: Any) -> dict[str, Any]:
    """A whole form field: label, hint, error, box, unit, room for a neutral note.

    Options: label, unit, hint, beside (text at the right of the box), usual (low, high), negative,
    box (figure, date or short). A field of one quantity brings its unit, usual range and sign along;
    an option goes before them.
    """
    setting = _setting(bound, options)
    return {
        **options,
        "bound": bound,
        "label": options.get("label") or bound.label,
        "hint": options.get("hint") or bound.help_text,
        "unit": UNIT_SIGNS.get(setting["unit"] or "", setting["unit"]),
        "unit_words": UNIT_WORDS.get(setting["unit"] or "", setting["unit"]),
        "kind": _kind(bound),
        "control": _control(bound, setting, options),
        "note_id": f"{bound.auto_id}_note" if setting["usual"] else "",
    }


@register.inclusion_tag("parts/_repeats.html")
def repeats(*boxes: BoundField, **options: Any) -> dict[str, Any]:
    """One dimension with up to three readings beside each other.

    Options: label, unit, hint, target, limits and previous (all three as text), usual (low, high), negative.
    """
    first = boxes[0]
    shown = [box for box in boxes if box]
    parts = [
        field(
            box,
            label=gettext("{label}, reading {number}").format(
                label=options.get("label") or first.label, number=number
            ),
            **_plain(options),
        )
        for number, box in enumerate(shown, start=1)
    ]
    return {
        **options,
        "label": options.get("label") or first.label,
        "unit": parts[0]["unit"],
        "unit_words": parts[0]["unit_words"],
        "boxes": parts,
        "anchor": f"field-{first.auto_id}",
        "errors": [(box, error) for box in shown for error in box.errors],
    }


def _setting(bound: BoundField, options: dict[str, Any]) -> dict[str, Any]:
    quantity = getattr(bound.field, "quantity", None)
    own = {
        "unit": getattr(bound.field, "unit", None),
        "usual": getattr(quantity, "unusual", None),
        "negative": getattr(quantity, "negative", False),
    }
    return {name: options.get(name, value) for name, value in own.items()}


def _plain(options: dict[str, Any]) -> dict[str, Any]:
    return {name: options[name] for name in ("unit", "usual", "negative") if name in options}


def _kind(bound: BoundField) -> str:
    widget = bound.field.widget
    if bound.is_hidden:
        return "hidden"
    if isinstance(widget, RadioSelect | CheckboxSelectMultiple):
        return "choices"
    if isinstance(widget, CheckboxInput):
        return "choice"
    return "box"


def _control(bound: BoundField, setting: dict[str, Any], options: dict[str, Any]) -> SafeString:
    if bound.is_hidden:
        return bound.as_widget()
    described = [
        f"{bound.auto_id}_{part}"
        for part, there in (
            ("helptext", options.get("hint") or bound.help_text),
            ("error", bound.errors),
            ("note", setting["usual"]),
        )
        if there
    ]
    attrs = {"aria-describedby": " ".join(described)} if described and not bound.use_fieldset else {}
    return bound.as_widget(attrs={**attrs, **_box_attrs(bound, setting, options)})


def _box_attrs(bound: BoundField, setting: dict[str, Any], options: dict[str, Any]) -> dict[str, str]:
    """Class and typing help by kind of box; a figure is text with a decimal keypad, never a number box."""
    widget = bound.field.widget
    if isinstance(widget, CheckboxInput | RadioSelect | CheckboxSelectMultiple | Select | Textarea):
        return {}
    if not isinstance(widget, Input):
        return {}
    size = options.get("box") or ("date" if isinstance(widget, DateInput) else "")
    own = widget.attrs.get("class", "")
    attrs = {}
    if setting["unit"] in UNIT_SIGNS:
        size = options.get("box") or "figure"
        attrs = {"inputmode": "decimal", "autocomplete": "off", "spellcheck": "false"}
        attrs |= {"data-unit": setting["unit"]}
    if setting["usual"]:
        low, high = setting["usual"]
        attrs |= {"data-usual-low": str(low), "data-usual-high": str(high)}
    if setting["negative"]:
        attrs["data-negative"] = "yes"
        # The decimal keypad of most telephones has no minus.
        attrs.pop("inputmode", None)
    attrs["class"] = " ".join(filter(None, [own, "box", f"box-{size}" if size else ""]))
    return attrs


@register.inclusion_tag("parts/_error_summary.html")
def error_summary(*forms: Any) -> dict[str, Any]:
    """Everything that must be put right, on top of the page, each linked to its box."""
    errors = [
        {"target": f"#{bound.auto_id}" if bound else "", "label": bound.label if bound else "", "text": text}
        for form in forms
        if form and form.is_bound
        for bound, text in _errors_of(form)
    ]
    # A password goes into its box once: what was typed there is never sent back.
    boxes = [bound.field.widget for form in forms if form for bound in form]
    kept = [each for each in boxes if not isinstance(each, PasswordInput)]
    return {"errors": errors, "is_kept": bool(kept)}


def _errors_of(form: Any) -> Iterable[tuple[BoundField | None, str]]:
    for text in form.non_field_errors():
        yield None, text
    for bound in form:
        for text in bound.errors:
            yield bound, text


# ---- what a figure is ----


@register.inclusion_tag("parts/_sketch.html")
def sketch(name: str) -> dict[str, Any]:
    """The small drawing of a quantity; nothing where it has none. The words beside it must say the same."""
    return {"drawing": sketch_of(name)}


@register.inclusion_tag("parts/_sketch.html")
def work_drawing(kind: str) -> dict[str, Any]:
    """A piece of work as the delivered standard would have it, with its dimensions."""
    return {"drawing": usual_work(kind)}


@register.inclusion_tag("pages/help/_hint.html", takes_context=True)
def hint(context: dict[str, Any], name: str) -> dict[str, Any]:
    """What a page says to whoever is new to it, until they put it away."""
    request = context["request"]
    shown = hint_for(request.user, name)
    return {"hint": shown, "name": name, "back": request.get_full_path(), "csrf_token": context["csrf_token"]}


# ---- the specification and the way ----


@register.inclusion_tag("parts/_figures.html")
def figures(rows: Iterable[Any], caption: str = "", measured: bool = False) -> dict[str, Any]:
    """A table of dimensions with target, limits, basis and why.

    Each row is a dimension, or has `.dimension` and, where the work was measured, `.value` and `.judgement`.
    """
    listed = [row if hasattr(row, "dimension") else {"dimension": row} for row in rows]
    return {
        "rows": listed,
        "caption": caption or gettext("The way of this case"),
        "measured": measured,
        "columns": 4 if measured else 3,
    }


@register.inclusion_tag("pages/_crossing_line.html")
def crossing_line(stops: Iterable[Stop], caption: str = "", id: str = "") -> dict[str, Any]:
    stops = list(stops)
    return {
        "wide": layout_crossing(stops),
        "tall": layout_crossing(stops, form=Form.TALL),
        "sentences": stops_in_words(stops),
        "caption": caption or gettext("The way of this case"),
        "id": id,
    }


@register.inclusion_tag("pages/_crossing_drawing.html")
def crossing_small(stops: Iterable[Stop]) -> dict[str, Any]:
    """The bare line for a row of a list; where the case is must stand beside it in words."""
    return {"drawing": layout_crossing(list(stops), form=Form.SMALL)}


@register.simple_tag
def no_enter() -> SafeString:
    """The first line of a form that a scanner's Enter must not send, with scripts or without.

    A browser answers Enter with the form's first submit button and does nothing where that one is disabled.
    """
    return mark_safe('<button class="no-enter" type="submit" disabled hidden tabindex="-1"></button>')


@register.filter
def struck(value: object) -> SafeString:
    """A reading that a later one replaced."""
    return mark_safe(f"<del>{conditional_escape(value)}</del>")
