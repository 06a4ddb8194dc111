"""The two sheets at true size that belong to a ticket: the rims from above, and the tooth-outline strips."""

from dataclasses import dataclass

from labcases.measurements.derivations import RimShape, ToothStrip
from labcases.prosthodontics.outline import RimOutline
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
    "Rims from above, at true size",
    "To lay cast and rim on: outline of the occlusal surface, crest (dashed), papilla, midline, canine lines (C) and "
    "widths in mm. R and L are the patient’s right and left.",
)
STRIPS = (
    "Tooth-outline strip, at true size",
    "Cut along the outer line, fold on the dashed lines, and lay it on the labial face: the toothed edge on the "
    "occlusal edge, M on the midline. C are the canine lines; dotted lines the lips, where they were read.",
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
        title=f"{shape.arch.capitalize()} rim from above, at true size",
        description=_in_words(outline),
    )
    notes = (_in_words(outline), _papilla(outline), shape.curve_in_words, *shape.assumed, *outline.notes)
    return Part(shape.arch.capitalize(), drawing, tuple(note for note in notes if note))


def _in_words(outline: RimOutline) -> str:
    arc, chord = outline.arc_between_canine_lines, outline.chord_between_canine_lines
    return (
        f"Between the canine lines {arc:.1f} mm along the labial edge, {chord:.1f} mm straight; "
        f"{outline.tongue_space:.1f} mm between the lingual edges behind."
    )


def _papilla(outline: RimOutline) -> str:
    plan = outline.plan
    if plan.labial_offset is None:
        return ""
    return f"Labial face {plan.labial_offset:.1f} mm in front of the {plan.papilla_reference.words}."


def _strip(made: ToothStrip) -> Part | None:
    arch = made.shape.arch
    if made.strip is None:
        return None
    drawing = as_drawing(
        strip_view(made.strip, arch, universal_first=made.universal_first),
        title=f"{arch.capitalize()} tooth-outline strip, at true size",
        description=f"{len(made.strip.teeth)} front teeth on the labial face laid flat.",
    )
    numbers = "Universal" if made.universal_first else "ISO 3950"
    notes = (
        *made.notes,
        *made.strip.notes,
        f"Teeth are numbered by {numbers}; outlines show size and place, not form.",
    )
    return Part(arch.capitalize(), drawing, notes)
