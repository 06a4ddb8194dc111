"""Materials for a stage: what to weigh, how long to cure, what shrinks. The material's own sheet goes first."""

import datetime

import numpy as np
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.lines import (
    Block,
    Derived,
    as_given,
    derived,
    listed,
    name_of,
    number,
)
from labcases.measurements.derivations.shapes import RimShape
from labcases.prosthodontics.arch import ArchForm
from labcases.prosthodontics.materials import expected_shrinkage, polymer_batch, schedule
from labcases.prosthodontics.materials.curing import CYCLE_SOURCE
from labcases.prosthodontics.materials.gypsum import RATIO_SOURCE as GYPSUM_SOURCE
from labcases.prosthodontics.materials.polymer import RATIO_SOURCE as POLYMER_SOURCE
from labcases.prosthodontics.materials.shrinkage import OBSERVED_SOURCE
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words, in_a_sentence

MATERIAL_FIRST = Words("The material’s own instructions go before these amounts and times.")
BASE_SOURCE = Source(
    Words("crest line, depth of the sulcus and thickness; flanges taken as even"), Provenance.DERIVED, "L"
)
BASE_PARTS = {
    "maxillary": Words(
        "palate {palate} cm² and a flange {depth} mm deep along {length} mm of crest, {thickness} mm thick; "
        "trimmings come on top."
    ),
    "mandibular": Words(
        "a flange {depth} mm deep on either side along {length} mm of crest, {thickness} mm thick; "
        "trimmings come on top."
    ),
}
HUNDRED_GRAMS = 100.0
WIDTHS = ("tuberosity_width", "hamular_notch_width")
TITLE = Words("Materials")


def stone_block(case: CaseFigures) -> Block:
    """Water for the master cast's stone, for a hundred grams: how much a cast takes shows only when it is poured."""
    ratio = case.schools.stone_ratio
    line = derived(
        Words("Water for 100 g of stone, type 3"),
        ratio * HUNDRED_GRAMS,
        "mL",
        why=Words("{ratio} g of water per g of powder.").of(ratio=number(ratio, 3)),
        source=GYPSUM_SOURCE,
    )
    return Block(
        title=TITLE,
        lines=(line,),
        remarks=(case.schools.sentence("gypsum_ratio"), MATERIAL_FIRST),
        calculator="gypsum",
        given=as_given({"ratio": ratio}),
    )


def base_block(case: CaseFigures, shape: RimShape) -> Block:
    """How much material a record base takes, from the crest's length, the sulcus' depth and the thickness."""
    volume = _base_volume(case, shape)
    if volume is None:
        return Block(title=TITLE, arch=shape.arch, remarks=_base_needs(case, shape))
    value, why = volume
    line = derived(Words("Material for the base, about"), value / 1000, "cm³", why=why, source=BASE_SOURCE)
    return Block(title=TITLE, arch=shape.arch, lines=(line,), remarks=(shape.curve_in_words, MATERIAL_FIRST))


def _base_needs(case: CaseFigures, shape: RimShape) -> tuple[str, ...]:
    """What to measure on the cast before the amount can be told."""
    depth = () if case.value("sulcus_to_crest", shape.arch) is not None else ("sulcus_to_crest",)
    names = [in_a_sentence(name_of(name)) for name in (*shape.missing, *depth)]
    if not names:
        return ()
    words = Words("To tell how much material the base takes, measure on the cast: {figures}.")
    return (words.of(figures=listed(names)),)


def _base_volume(case: CaseFigures, shape: RimShape) -> tuple[float, str] | None:
    """Volume in mm³ and why: palate or ridge, and a flange as deep as the sulcus along the crest."""
    crest, depth = shape.crest, case.value("sulcus_to_crest", shape.arch)
    upper = shape.arch == "maxillary"
    thick = case.target("base_thickness_palate" if upper else "base_thickness_lingual", shape.arch)
    if crest is None or depth is None or thick is None or thick.target is None:
        return None
    thickness, length = float(thick.target), crest.arc_length()
    if upper:
        inside = _area_inside(crest)
        volume = thickness * (inside + length * depth)
    else:
        inside = 0.0
        volume = thickness * 2 * length * depth
    why = BASE_PARTS["maxillary" if upper else "mandibular"].of(
        palate=number(inside / 100), depth=number(depth), length=number(length), thickness=number(thickness)
    )
    return volume, why


def _area_inside(crest: ArchForm) -> float:
    """Area between the crest and the line through its ends, mm²."""
    s = np.linspace(-crest.side_length("right"), crest.side_length("left"), 201)
    x, y = crest.trace(s)[0].T
    return float(abs(np.trapezoid(y, x)))


def processing_block(case: CaseFigures, now: datetime.datetime | None) -> Block:
    """Mixing, curing by the clock where it began or would begin `now`, and the loss to expect across the arch."""
    lines = [_mixing(case), _curing(case, now)]
    width = next((w for name in WIDTHS if (w := case.value(name, "maxillary"))), None)
    lines += [_shrinkage(width)] if width else []
    schools = case.schools.sentences("polymer_ratio", "curing_cycle")
    return Block(
        title=TITLE,
        lines=tuple(lines),
        remarks=(*schools, MATERIAL_FIRST),
        calculator="curing",
        given=as_given({"cycle": case.schools.curing_cycle}),
    )


def _mixing(case: CaseFigures) -> Derived:
    ratio = float(case.schools.polymer_ratio)
    batch = polymer_batch(10.0, ratio=ratio)
    return derived(
        Words("Polymer for 10 cm³ of dough"),
        batch.polymer,
        "g",
        why=Words("At {ratio} g per mL: {polymer} g with {monomer} mL of monomer.").of(
            ratio=number(ratio, 2), polymer=number(batch.polymer), monomer=number(batch.monomer)
        ),
        source=POLYMER_SOURCE,
    )


def _curing(case: CaseFigures, now: datetime.datetime | None) -> Derived:
    cycle = case.schools.cycle
    hours = sum(step.minutes for step in cycle.steps) / 60
    why = Words("{cycle}, then 30 minutes on the bench and 15 in running water.").of(cycle=cycle.label)
    if now is not None:
        ready = schedule(now, cycle).ready_by
        over = Words("Begun now, {now}, it is over {day} at {time}.")
        day = date_format(ready, _("D j M"))
        why += f" {over.of(now=_clock(now), day=day, time=_clock(ready))}"
    return derived(Words("Curing with cooling"), hours, "h", places=2, why=why, source=CYCLE_SOURCE)


def _shrinkage(width: float) -> Derived:
    found = expected_shrinkage(width)
    return derived(
        Words("Loss across the arch in processing"),
        found.width - found.expected,
        "mm",
        places=2,
        u=found.u,
        why=Words("{width} mm × 0.42 to 0.58 % = {least} to {most} mm.").of(
            width=number(width), least=number(found.least, 2), most=number(found.most, 2)
        ),
        source=OBSERVED_SOURCE,
    )


def _clock(moment: datetime.datetime) -> str:
    return f"{moment:%H:%M}"
