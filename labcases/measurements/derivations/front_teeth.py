"""Front teeth for this case: the arc between its canine lines, estimates from the face, the mould list ranked."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.lines import Block, Derived, Ranked, as_given, derived, number
from labcases.measurements.derivations.shapes import RimShape
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import MINUS
from labcases.prosthodontics.outline import RimOutline
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.standard import Schools
from labcases.prosthodontics.teeth import (
    Estimate,
    Mould,
    Wish,
    between_distal_surfaces,
    between_tips,
    estimate_sizes,
    rank_moulds,
    to_universal,
)
from labcases.prosthodontics.teeth.crowns import CROWNS
from labcases.prosthodontics.teeth.estimates import FACE_FIGURES
from labcases.prosthodontics.wording import Words

MARKED = Source(Words("marked on the wax by the clinician"), Provenance.DERIVED, "H")
COMPUTED = Source(
    Words("geometry of this rim; the canine eminences stand for the canine lines"), Provenance.DERIVED, "M"
)
TIPS = Source(Words("one canine as a part of six average crowns"), Provenance.DERIVED, "M")
MOST_RANKED = 5
SIDES = ("right", "left")


@dataclass(frozen=True)
class FrontArc:
    """The arc (mm) that six front teeth of an arch shall take, with its standard uncertainty and why."""

    value: float
    u: float
    why: str
    source: Source


def front_arc(case: CaseFigures, shape: RimShape) -> FrontArc | None:
    """From the canine lines that were marked, or else over the canine eminences of this rim; None without either."""
    marks = [case.of("maxillary").get(f"canine_line_{side}") for side in SIDES]
    if shape.arch == "maxillary" and all(marks):
        right, left = (float(mark.value) for mark in marks if mark)
        u = hypot(*(float(mark.u or 0) for mark in marks if mark))
        words = Words(
            "Canine lines marked {right} mm to the right and {left} mm to the left of the midline"
        ).of(right=number(right), left=number(left))
        return _as_distal(right + left, u, words, MARKED, shape.arch, case.schools)
    if shape.outline is None:
        return None
    arc = shape.outline.arc_between_canine_lines
    words = Words("{arc} mm along this rim between the canine lines over the eminences").of(arc=number(arc))
    return _as_distal(arc, 0.0, words, COMPUTED, shape.arch, case.schools)


def _as_distal(arc: float, u: float, words: str, source: Source, arch: str, schools: Schools) -> FrontArc:
    if schools.canine_line == "distal_surface":
        why = Words("{arc}; they mark the distal surfaces.").of(arc=words)
        return FrontArc(arc, u, why, source)
    whole = between_distal_surfaces(arch, arc)
    why = Words("{arc}; they mark the tips, so half a canine more on either side: {whole} mm.").of(
        arc=words, whole=number(whole)
    )
    return FrontArc(whole, u * whole / arc, why, TIPS)


def in_mould_list(arc: FrontArc, shape: RimShape, schools: Schools) -> float | None:
    """The width of six teeth as the laboratory's mould list means it, mm; None where this rim can't tell."""
    if schools.mould_width != "chord":
        return arc.value
    return None if shape.outline is None else chord_of(shape.outline, between_tips(shape.arch, arc.value))


def chord_of(outline: RimOutline, arc: float) -> float:
    """Straight distance (mm) between the ends of an arc centred on the midline along the labial edge."""
    steps = np.hypot(*np.diff(outline.labial, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    along -= along[int(np.argmin(np.abs(outline.frames.s)))]
    ends = [np.interp((-arc / 2, arc / 2), along, outline.labial[:, axis]) for axis in (0, 1)]
    return float(np.hypot(*(coordinates[1] - coordinates[0] for coordinates in ends)))


def teeth_block(case: CaseFigures, shape: RimShape, moulds: Sequence[Mould]) -> Block:
    """What the six front teeth of this arch may measure, rule by rule, and the moulds that come nearest."""
    arc = front_arc(case, shape)
    figures = _face_figures(case, arc) if shape.arch == "maxillary" else {}
    lines = [*_arc_line(arc), *_lower_from_upper(case, shape)]
    for each in estimate_sizes(figures) if figures else ():
        if each.rule.name != "six_width_from_canine_lines":
            lines.append(_as_derived(each))
    wish = wish_for(case, shape, arc)
    # Mould cards are of upper teeth; the lower ones belong to them.
    ranked, remarks = _ranked(moulds, wish) if shape.arch == "maxillary" else ((), ())
    return Block(
        title=Words("Teeth"),
        arch=shape.arch,
        lines=tuple(lines),
        remarks=(*remarks, _numbers(shape.arch, case.schools)) if lines or ranked else remarks,
        ranked=ranked,
        calculator="mould_ranking" if ranked else "",
        given=as_given(vars(wish)) if ranked else (),
    )


def _arc_line(arc: FrontArc | None) -> list[Derived]:
    if arc is None:
        return []
    return [
        derived(
            Words("Six front teeth along the curve"),
            arc.value,
            "mm",
            u=arc.u or None,
            why=arc.why,
            source=arc.source,
        )
    ]


def lower_six(case: CaseFigures) -> Estimate | None:
    """The lower six by the upper six that were chosen, or else by the canine lines that were marked above."""
    upper = case.value("six_anterior_width", "maxillary") or _marked_above(case)
    if upper is None or not _is_within("upper_six_width", upper):
        return None
    by_rule = {each.rule.name: each for each in estimate_sizes({"upper_six_width": upper})}
    return by_rule["lower_six_from_upper"]


def _lower_from_upper(case: CaseFigures, shape: RimShape) -> list[Derived]:
    estimate = lower_six(case) if shape.arch == "mandibular" else None
    return [_as_derived(estimate)] if estimate else []


def _as_derived(estimate: Estimate) -> Derived:
    rule = estimate.rule
    steps = str(estimate.steps)
    why = f"{steps[:1].upper()}{steps[1:]}; {rule.evidence}."
    return derived(rule.label, estimate.value, "mm", why=why, source=rule.source)


def _marked_above(case: CaseFigures) -> float | None:
    arc = front_arc(case, RimShape(arch="maxillary", figures=(), targets=()))
    return arc.value if arc else None


def _face_figures(case: CaseFigures, arc: FrontArc | None) -> dict[str, float]:
    """Figures of the face that a rule can use; one out of a rule's range is left out, not refused."""
    found = {name: case.value(name) for name in FACE_FIGURES}
    found["canine_line_arc"] = arc.value if arc else None
    return {name: value for name, value in found.items() if value is not None and _is_within(name, value)}


def _is_within(name: str, value: float) -> bool:
    """Whether a rule of estimation takes this figure at all."""
    _, low, high = FACE_FIGURES[name]
    return low <= value <= high


def wish_for(case: CaseFigures, shape: RimShape, arc: FrontArc | None) -> Wish:
    """What a mould is measured by: the canine lines, teeth that were chosen already, the space behind."""
    space = [case.value(f"canine_to_pad_{side}", "mandibular") for side in SIDES]
    known = [each for each in space if each is not None]
    return Wish(
        six_anterior_width=in_mould_list(arc, shape, case.schools) if arc else None,
        central_width=case.value("central_incisor_width", shape.arch),
        central_length=case.value("central_incisor_length", shape.arch),
        posterior_space=min(known) if known else None,
    )


def _ranked(moulds: Sequence[Mould], wish: Wish) -> tuple[tuple[Ranked, ...], tuple[str, ...]]:
    if not moulds:
        return (), (Words("The laboratory has no mould list yet; a manager imports it under Laboratory."),)
    try:
        ranking = rank_moulds(moulds, wish)
    except InputError:
        return (), (Words("Without canine lines or a chosen tooth no mould is nearer than another."),)
    found = tuple(
        Ranked(
            name=each.mould.name,
            misfit=number(each.misfit, 2) if each.misfit != float("inf") else "",
            why="; ".join(str(reason) for reason in each.reasons).replace(" -", f" {MINUS}"),
        )
        for each in ranking[:MOST_RANKED]
    )
    remark = Words("None of these binds; shade, form and the patient’s wish go before a fit in millimetres.")
    return found, (remark,)


def _numbers(arch: str, schools: Schools) -> str:
    """The front teeth of this arch in both numberings, the laboratory's own first."""
    first = 10 if arch == "maxillary" else 40
    teeth = [first + place for place in (3, 2, 1)] + [
        (20 if arch == "maxillary" else 30) + place for place in (1, 2, 3)
    ]
    iso = " ".join(str(tooth) for tooth in teeth)
    universal = " ".join(str(to_universal(tooth)) for tooth in teeth)
    pairs = (("ISO 3950", iso), ("Universal", universal))
    ordered = pairs if schools.tooth_numbering == "iso_3950" else pairs[::-1]
    said = "; ".join(f"{name} {numbers}" for name, numbers in ordered)
    return Words("Front teeth from the patient’s right to left: {numbers}.").of(numbers=said)


def crown_length(case: CaseFigures, arch: str, chosen: Mould | None) -> tuple[float, str]:
    """Length of the central's crown (mm) to draw with, and in words where it comes from."""
    measured = case.value("central_incisor_length", arch)
    if measured is not None:
        return measured, str(Words("as chosen"))
    if chosen is not None and chosen.central_length is not None:
        return float(chosen.central_length), Words("of {mould}").of(mould=chosen.name)
    crown = CROWNS[arch][1]
    source = f"{crown.source.citation}; {crown.source.provenance.words}"
    return crown.length, Words("of an average crown ({source})").of(source=source)
