"""The figures of a clinic stage in the groups in which its record asks for them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import StageKind
from labcases.measurements.actions.readings import MOST_REPEATS, Entry
from labcases.measurements.queries import Box
from labcases.measurements.rules import OCCLUSION, REST, plain_figure
from labcases.pages.chairside import FIGURE, GROUPS, NOT_STATED, FigureGroup
from labcases.pages.fields import FigureField
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.standard import Schools
from labcases.prosthodontics.uncertainty import instruments_for
from labcases.prosthodontics.wording import in_a_sentence

# The scatter between repeats is what the freeway space is known by; everything else is read once.
REPEATED = (REST, OCCLUSION)
NOT_STATED_IN = {"mm": NOT_STATED, "deg": "not_stated_degrees"}

RECORD_GROUPS = (
    FigureGroup(
        "vertical",
        _("Vertical dimension"),
        _(
            "The same two marks and the same posture for both. Repeat each up to three times: one reading between "
            "marks on the skin is not enough to tell 2 mm from 4 mm."
        ),
        (REST, OCCLUSION, "freeway_space", "closest_speaking_space"),
    ),
    FigureGroup(
        "mouth",
        _("In the mouth"),
        _("The upper rim, or the teeth at a try-in, seen from the front. Left and right are the patient’s."),
        ("rim_display_at_rest", "smile_line_height", "midline_deviation"),
    ),
    FigureGroup(
        "marks",
        _("Marks on the upper rim"),
        _("Along the labial face from the midline mark. The front teeth are chosen between them."),
        ("canine_line_right", "canine_line_left", "commissure_mark_right", "commissure_mark_left"),
    ),
    FigureGroup(
        "plane",
        _("Occlusal plane"),
        _("Only where it is not as it should be."),
        ("plane_cant", "plane_pitch"),
    ),
    FigureGroup(
        "protrusion",
        _("Protrusive record"),
        _("Where the articulator is set to one."),
        ("protrusive_record",),
    ),
    *GROUPS,
)
# Where schools differ about what a figure means, the group says which one this laboratory follows.
SCHOOL_OF = {"plane": "tragus_point", "marks": "canine_line", "protrusion": "protrusive_record"}
# What a stage is mostly there for stands open; the rest is one tap away.
OPEN_AT = {
    StageKind.PRELIMINARY_IMPRESSIONS: ("lip",),
    StageKind.DEFINITIVE_IMPRESSIONS: ("lip",),
    StageKind.JAW_RELATION: ("vertical", "mouth", "marks"),
    StageKind.TRY_IN: ("mouth",),
    StageKind.INSERTION: ("vertical",),
    StageKind.RELINE_IMPRESSION: ("vertical",),
    StageKind.COPY_IMPRESSION: ("worn", "vertical"),
}


@dataclass(frozen=True)
class ChairGroup:
    """Boxes of one group at one stage, read with one instrument."""

    group: FigureGroup
    boxes: tuple[Box, ...]

    @property
    def instrument_name(self) -> str:
        return f"read_with_{self.group.key}"

    @property
    def unit(self) -> str:
        return self.boxes[0].quantity.unit


def groups_at(stage_kind: str, boxes: Sequence[Box], schools: Schools) -> list[ChairGroup]:
    """The stage's boxes by group, each box once; what no group names comes last, by unit."""
    open_here = OPEN_AT.get(StageKind(stage_kind), ())
    by_name = {box.quantity.name: box for box in boxes}
    found = []
    for group in RECORD_GROUPS:
        here = tuple(by_name.pop(name) for name in group.names if name in by_name)
        if here:
            told = replace(group, folded=group.key not in open_here, hint=_hint(group, schools))
            found.append(ChairGroup(told, here))
    return found + _others(by_name.values())


def _hint(group: FigureGroup, schools: Schools) -> str:
    school = SCHOOL_OF.get(group.key)
    return f"{group.hint} {schools.sentence(school)}" if school else group.hint


def _others(boxes: Iterable[Box]) -> list[ChairGroup]:
    by_unit: dict[str, list[Box]] = {}
    for box in boxes:
        by_unit.setdefault(box.quantity.unit, []).append(box)
    return [
        ChairGroup(FigureGroup(f"other_{unit}", _("Further figures"), "", ()), tuple(here))
        for unit, here in by_unit.items()
    ]


def names_of(box: Box) -> list[str]:
    """The form fields of one figure: one, or three for what is repeated."""
    first = FIGURE + box.quantity.name
    more = range(2, MOST_REPEATS + 1) if box.quantity.name in REPEATED else ()
    return [first, *(f"{first}_{number}" for number in more)]


def fields_of(group: ChairGroup) -> dict[str, forms.Field]:
    fields: dict[str, forms.Field] = {}
    for box in group.boxes:
        kind = box.quantity
        # Which way a sign counts must stand beside the box; how a figure is taken is one tap away.
        hint = kind.landmarks if kind.negative else ""
        for number, name in enumerate(names_of(box), 1):
            label = kind.label
            if kind.name in REPEATED:
                label = format_lazy(_("{label}, reading {number}"), label=label, number=number)
            fields[name] = FigureField(kind.name, label=label, help_text=hint)
    if instruments := instruments_for(group.unit):
        fields[group.instrument_name] = _instrument_field(group.unit, instruments)
    return fields


def _instrument_field(unit: str, instruments: Mapping[str, Any]) -> forms.ChoiceField:
    unknown = NOT_STATED_IN[unit]
    first = sorted(instruments, key=lambda name: name != unknown)
    choices = [(name, instruments[name].label) for name in first]
    return forms.ChoiceField(label=_("Read with"), choices=choices, required=False, initial=unknown)


def standing_values(box: Box) -> tuple[Decimal, ...]:
    """What stands at this stage already, as its boxes show it."""
    if box.standing is None:
        return ()
    if box.quantity.name in REPEATED:
        return tuple(Decimal(text) for text in box.standing.repeats)
    return (round(box.standing.value, 2),)


def initial_of(groups: Iterable[ChairGroup]) -> dict[str, str]:
    initial = {}
    for group in groups:
        standing = [box.standing for box in group.boxes if box.standing]
        if standing:
            initial[group.instrument_name] = standing[0].instrument
        for box in group.boxes:
            shown = zip(names_of(box), standing_values(box), strict=False)
            initial |= {name: plain_figure(value) for name, value in shown}
    return initial


def typed_values(box: Box, cleaned: Mapping[str, Any]) -> tuple[Decimal, ...]:
    return tuple(cleaned[name] for name in names_of(box) if cleaned.get(name) is not None)


def entry_of(box: Box, group: ChairGroup, cleaned: Mapping[str, Any]) -> Entry | None:
    """The figure to record; None where nothing was typed or what stands is still as it was."""
    values = typed_values(box, cleaned)
    if not values or values == standing_values(box):
        return None
    instrument = cleaned.get(group.instrument_name) or NOT_STATED_IN.get(group.unit, "")
    return Entry(box.quantity.name, box.arch, values, instrument, confirmed=True)


def before_in_words(box: Box) -> str:
    """The same figure of an earlier stage, to stand beside the box."""
    earlier = box.before
    if earlier is None:
        return ""
    value = with_unit(round(earlier.value, 2).normalize(), earlier.unit)
    return gettext("{value} at {stage}").format(value=value, stage=in_a_sentence(earlier.stage.label))
