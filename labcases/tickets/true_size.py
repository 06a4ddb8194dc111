"""The two sheets at true size that belong to a ticket: the rims from above, and the tooth-outline strips."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from labcases.measurements.derivations import RimShape, ToothStrip
from labcases.prosthodontics.outline import RimOutline
from labcases.prosthodontics.wording import Words, figure
from labcases.tickets.drawing import Drawing
from labcases.tickets.drawing.true_size import as_drawing, rim_view, strip_view
from labcases.tickets.facts import TicketFacts


@dataclass(frozen=True)
class Part:
    """One arch on a sheet: its drawing at true size and what is to be known of it."""

    title: str
    drawing: Drawing
    notes: tuple[str, ...]


@dataclass(frozen=True)
class TrueSizeSheet:
    """One page of its own. `use` says what it is for."""

    title: str
    use: str
    parts: tuple[Part, ...]


RIMS = (
    Words("Rims from above, at true size"),
    Words(
        "To lay cast and rim on: outline of the occlusal surface, crest (dashed), papilla, midline, canine lines (C) "
        "and widths in mm. R and L are the patient’s right and left."
    ),
)
STRIPS = (
    Words("Tooth-outline strip, at true size"),
    Words(
        "Cut along the outer line, fold on the dashed lines, and lay it on the labial face: the toothed edge on the "
        "occlusal edge, M on the midline. C are the canine lines; dotted lines the lips, where they were read."
    ),
)


def true_size_sheets(facts: TicketFacts) -> tuple[TrueSizeSheet, ...]:
    """The sheets of a ticket: none where no arch's outline is known."""
    rims = [_rim(shape) for shape in facts.follows.shapes.values() if facts.follows.strips]
    strips = [_strip(each) for each in facts.follows.strips.values()]
    sheets = ((RIMS, rims), (STRIPS, strips))
    return tuple(
        TrueSizeSheet(title, use, tuple(part for part in parts if part))
        for (title, use), parts in sheets
        if any(parts)
    )


def _rim(shape: RimShape) -> Part | None:
    outline = shape.outline
    if outline is None:
        return None
    drawing = as_drawing(
        rim_view(outline),
        title=_("{arch} rim from above, at true size").format(arch=_capital(shape.arch)),
        description=_in_words(outline),
    )
    notes = (_in_words(outline), _papilla(outline), shape.curve_in_words, *shape.assumed, *outline.notes)
    return Part(_capital(shape.arch), drawing, tuple(note for note in notes if note))


def _in_words(outline: RimOutline) -> str:
    arc, chord = outline.arc_between_canine_lines, outline.chord_between_canine_lines
    return _(
        "Between the canine lines {arc} mm along the labial edge, {chord} mm straight; {tongue} mm between the "
        "lingual edges behind."
    ).format(
        arc=figure(f"{arc:.1f}"), chord=figure(f"{chord:.1f}"), tongue=figure(f"{outline.tongue_space:.1f}")
    )


def _papilla(outline: RimOutline) -> str:
    plan = outline.plan
    if plan.labial_offset is None:
        return ""
    return _("Labial face {offset} mm in front of the {point}.").format(
        offset=figure(f"{plan.labial_offset:.1f}"), point=plan.papilla_reference.words
    )


def _capital(arch: str) -> str:
    return str(Words(arch)).capitalize()


def _strip(made: ToothStrip) -> Part | None:
    arch = made.shape.arch
    if made.strip is None:
        return None
    drawing = as_drawing(
        strip_view(made.strip, arch, universal_first=made.universal_first),
        title=_("{arch} tooth-outline strip, at true size").format(arch=_capital(arch)),
        description=_("{count} front teeth on the labial face laid flat.").format(
            count=len(made.strip.teeth)
        ),
    )
    numbers = "Universal" if made.universal_first else "ISO 3950"
    notes = (
        *made.notes,
        *made.strip.notes,
        _("Teeth are numbered by {numbering}; outlines show size and place, not form.").format(
            numbering=numbers
        ),
    )
    return Part(_capital(arch), drawing, notes)
