"""Materials for a stage: what to weigh, how long to cure, what shrinks. The material's own sheet goes first."""

import datetime

import numpy as np

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

MATERIAL_FIRST = "The material’s own instructions go before these amounts and times."
BASE_SOURCE = Source(
    "crest line, depth of the sulcus and thickness; flanges taken as even", Provenance.DERIVED, "L"
)
HUNDRED_GRAMS = 100.0
WIDTHS = ("tuberosity_width", "hamular_notch_width")
TITLE = "Materials"


def stone_block(case: CaseFigures) -> Block:
    """Water for the master cast's stone, for a hundred grams: how much a cast takes shows only when it is poured."""
    ratio = case.schools.stone_ratio
    line = derived(
        "Water for 100 g of stone, type 3",
        ratio * HUNDRED_GRAMS,
        "mL",
        why=f"{number(ratio, 3)} g of water per g of powder.",
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
    line = derived("Material for the base, about", value / 1000, "cm³", why=why, source=BASE_SOURCE)
    return Block(title=TITLE, arch=shape.arch, lines=(line,), remarks=(shape.curve_in_words, MATERIAL_FIRST))


def _base_needs(case: CaseFigures, shape: RimShape) -> tuple[str, ...]:
    """What to measure on the cast before the amount can be told."""
    depth = () if case.value("sulcus_to_crest", shape.arch) is not None else ("sulcus_to_crest",)
    names = [name_of(name).lower() for name in (*shape.missing, *depth)]
    return (
        (f"To tell how much material the base takes, measure on the cast: {listed(names)}.",) if names else ()
    )


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
        parts = f"palate {number(inside / 100)} cm² and a flange {number(depth)} mm deep"
    else:
        volume = thickness * 2 * length * depth
        parts = f"a flange {number(depth)} mm deep on either side"
    return (
        volume,
        f"{parts} along {number(length)} mm of crest, {number(thickness)} mm thick; trimmings come on top.",
    )


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
        "Polymer for 10 cm³ of dough",
        batch.polymer,
        "g",
        why=f"At {number(ratio, 2)} g per mL: {number(batch.polymer)} g with {number(batch.monomer)} mL of monomer.",
        source=POLYMER_SOURCE,
    )


def _curing(case: CaseFigures, now: datetime.datetime | None) -> Derived:
    cycle = case.schools.cycle
    hours = sum(step.minutes for step in cycle.steps) / 60
    why = f"{cycle.label}, then 30 minutes on the bench and 15 in running water."
    if now is not None:
        ready = schedule(now, cycle).ready_by
        why += f" Begun now, {_clock(now)}, it is over {ready:%a} {ready.day} {ready:%b} at {_clock(ready)}."
    return derived("Curing with cooling", hours, "h", places=2, why=why, source=CYCLE_SOURCE)


def _shrinkage(width: float) -> Derived:
    found = expected_shrinkage(width)
    return derived(
        "Loss across the arch in processing",
        found.width - found.expected,
        "mm",
        places=2,
        u=found.u,
        why=f"{number(width)} mm × 0.42 to 0.58 % = {number(found.least, 2)} to {number(found.most, 2)} mm.",
        source=OBSERVED_SOURCE,
    )


def _clock(moment: datetime.datetime) -> str:
    return f"{moment:%H:%M}"
