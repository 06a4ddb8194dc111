"""What follows from a case's figures at one of its stages, gathered for sheet and ticket alike."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from labcases.cases.choices import StageKind
from labcases.cases.models import Stage
from labcases.measurements.derivations.amounts import base_block, processing_block, stone_block
from labcases.measurements.derivations.checks import checks_block, plane_found_block, space_block
from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.front_teeth import teeth_block
from labcases.measurements.derivations.lines import Block
from labcases.measurements.derivations.settings import articulator_block
from labcases.measurements.derivations.shapes import RimShape, rim_block, shape_of
from labcases.measurements.derivations.strips import ToothStrip, strip_of
from labcases.measurements.models import Reading, Specification, SpecificationLine
from labcases.measurements.queries import (
    lines_in_force,
    moulds_at_hand,
    standing_readings,
)
from labcases.measurements.standards import schools_in_force, schools_of
from labcases.prosthodontics.teeth import Mould

# Stages whose sheets tell what follows; at all others there is nothing to derive.
TOLD_AT = (
    StageKind.MASTER_CAST,
    StageKind.RECORD_BASE,
    StageKind.OCCLUSION_RIMS,
    StageKind.TOOTH_ARRANGEMENT,
    StageKind.PROCESSING,
)
# Where the rim is printed at true size, with the tooth-outline strip.
DRAWN_AT = (StageKind.OCCLUSION_RIMS, StageKind.TOOTH_ARRANGEMENT)
# Choices that a stage's derived figures rest on, beside those that its specification names.
SCHOOLS_AT: Mapping[str, tuple[str, ...]] = {
    StageKind.RECORD_BASE: ("arch_correction", "repeatability"),
    StageKind.OCCLUSION_RIMS: ("arch_correction", "canine_line", "mould_width", "repeatability"),
    StageKind.TOOTH_ARRANGEMENT: (
        "arch_correction",
        "canine_line",
        "mould_width",
        "tooth_numbering",
        "tragus_point",
    ),
}


@dataclass(frozen=True)
class Follows:
    """Blocks in the order in which they are shown, and by arch the shapes behind them."""

    blocks: tuple[Block, ...] = ()
    shapes: Mapping[str, RimShape] = field(default_factory=dict)
    strips: Mapping[str, ToothStrip] = field(default_factory=dict)
    schools: tuple[str, ...] = ()

    def of(self, arch: str) -> tuple[Block, ...]:
        """The blocks of one arch, or with an empty name those of the patient."""
        return tuple(block for block in self.blocks if block.arch == arch)


def what_follows(
    stage: Stage,
    *,
    specification: Specification | None,
    readings: Sequence[Reading] | None = None,
    today: datetime.date,
    now: datetime.datetime | None = None,
    with_strips: bool = False,
) -> Follows:
    """Everything that the figures of a case come to at a laboratory stage; nothing at stages that derive nothing.

    `specification` is the stage's own. `readings` are those that stand, read here unless given. With `now` times by
    the clock are told; without it two answers about unchanged figures are equal. Strips are for paper alone.
    """
    if stage.kind not in TOLD_AT:
        return Follows()
    lines = _lines(stage, specification)
    schools = schools_of(lines[0].specification.standard) if lines else schools_in_force(today)
    case = CaseFigures(
        readings=tuple(standing_readings(stage.case) if readings is None else readings),
        lines=lines,
        schools=schools,
        stage=stage,
    )
    wants_moulds = stage.kind == StageKind.TOOTH_ARRANGEMENT or (with_strips and stage.kind in DRAWN_AT)
    moulds = moulds_at_hand() if wants_moulds else ()
    found = _gathered(stage, case, moulds, now)
    return replace(found, strips=_strips(case, found.shapes, moulds)) if with_strips else found


def _lines(stage: Stage, specification: Specification | None) -> tuple[SpecificationLine, ...]:
    """The lines that the work is made to: the stage's own, or those of the rims on which teeth are arranged."""
    if stage.kind == StageKind.TOOTH_ARRANGEMENT:
        return tuple(lines_in_force(stage.case, StageKind.OCCLUSION_RIMS))
    return tuple(specification.lines.all()) if specification else ()


def _gathered(
    stage: Stage, case: CaseFigures, moulds: Sequence[Mould], now: datetime.datetime | None
) -> Follows:
    late = stage.kind == StageKind.TOOTH_ARRANGEMENT
    has_shape = stage.kind in (*DRAWN_AT, StageKind.RECORD_BASE)
    arches = stage.case.arch_names if has_shape else ()
    shapes = {arch: shape_of(case, arch, as_made=late, marked=late) for arch in arches}
    blocks = [*_by_arch(stage.kind, case, shapes, moulds), *_of_patient(stage.kind, case, shapes, now)]
    return Follows(
        blocks=tuple(block for block in blocks if not block.is_empty),
        shapes=shapes,
        schools=case.schools.sentences(*SCHOOLS_AT.get(stage.kind, ())),
    )


def _strips(
    case: CaseFigures, shapes: Mapping[str, RimShape], moulds: Sequence[Mould]
) -> dict[str, ToothStrip]:
    found = {arch: strip_of(case, shape, moulds) for arch, shape in shapes.items()}
    return {arch: strip for arch, strip in found.items() if strip}


def _by_arch(
    kind: str, case: CaseFigures, shapes: Mapping[str, RimShape], moulds: Sequence[Mould]
) -> Iterator[Block]:
    for shape in shapes.values():
        if kind == StageKind.RECORD_BASE:
            yield base_block(case, shape)
            yield checks_block(case, shape)
        elif kind == StageKind.OCCLUSION_RIMS:
            yield rim_block(case, shape)
            yield checks_block(case, shape)
        else:
            yield teeth_block(case, shape, moulds)


def _of_patient(
    kind: str, case: CaseFigures, shapes: Mapping[str, RimShape], now: datetime.datetime | None
) -> Iterator[Block]:
    if kind == StageKind.OCCLUSION_RIMS:
        yield space_block(case)
    elif kind == StageKind.TOOTH_ARRANGEMENT:
        yield articulator_block(case)
        yield plane_found_block(case, _depth(shapes.get("maxillary")))
    elif kind == StageKind.PROCESSING:
        yield processing_block(case, now)
    elif kind == StageKind.MASTER_CAST:
        yield stone_block(case)


def _depth(shape: RimShape | None) -> float | None:
    """From the labial face at the midline straight back to the molars, mm."""
    if shape is None or shape.outline is None:
        return None
    back = [shape.outline.station(f"molar_{side}").middle[1] for side in ("right", "left")]
    return shape.outline.station("midline").labial[1] - sum(back) / 2
