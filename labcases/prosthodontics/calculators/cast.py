"""The inputs that describe a cast and a rim, shared by the calculators of arch, outline and strip."""

from __future__ import annotations

from labcases.prosthodontics.arch import (
    MODELS,
    CastMeasurements,
    SideMeasurements,
    TwoSidedArch,
    arch_from_cast,
)
from labcases.prosthodontics.calculators.inputs import Given, Input, choice, flag, number
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline import CrestHeights, PapillaPoint, RimOutline, RimPlan, outline_rim
from labcases.prosthodontics.outline.plan import ARCHES
from labcases.prosthodontics.wording import Words

CAST_INPUTS: tuple[Input, ...] = (
    choice("arch", Words("Arch"), ARCHES, default="maxillary"),
    number(
        "arch_width", Words("Width between the notches, tuberosities or pads"), "mm", 20, 100, optional=True
    ),
    number("arch_depth", Words("Front of the crest to the line through those"), "mm", 10, 90, optional=True),
    number(
        "canine_eminence_width",
        Words("Width between the canine eminences, on the crest"),
        "mm",
        10,
        80,
        optional=True,
    ),
    number(
        "canine_eminence_depth",
        Words("Front of the crest to the line through the canine eminences"),
        "mm",
        1,
        60,
        optional=True,
    ),
    *(
        number(name, label, "mm", low, high, optional=True)
        for name, label, low, high in (
            ("half_width_left", Words("Midline to the posterior landmark, left"), 10, 50),
            ("depth_left", Words("Front of the crest to the posterior landmark, left"), 10, 90),
            ("canine_half_width_left", Words("Midline to the canine eminence, left"), 5, 40),
            ("canine_depth_left", Words("Front of the crest to the canine point, left"), 1, 60),
            ("half_width_right", Words("Midline to the posterior landmark, right"), 10, 50),
            ("depth_right", Words("Front of the crest to the posterior landmark, right"), 10, 90),
            ("canine_half_width_right", Words("Midline to the canine eminence, right"), 5, 40),
            ("canine_depth_right", Words("Front of the crest to the canine point, right"), 1, 60),
        )
    ),
    choice("model", Words("Arch form"), MODELS, default="beta"),
    number("exponent", Words("Exponent of the beta curve"), "", 0.35, 1.5, optional=True),
    flag("corrected", Words("Add 1 mm to the width and 1.5 mm to the depth first")),
)

RIM_INPUTS: tuple[Input, ...] = (
    number("anterior_width", Words("Width of the occlusal surface in front"), "mm", 1, 20, default=8.0),
    number("posterior_width", Words("Width of the occlusal surface behind"), "mm", 2, 25, default=10.0),
    number("labial_offset", Words("Papilla point to labial face"), "mm", 0, 20, optional=True),
    choice("papilla_reference", Words("Point of the papilla"), list(PapillaPoint), default="centre"),
    number(
        "papilla_behind_crest",
        Words("Front of the crest back to the papilla's centre"),
        "mm",
        -5,
        10,
        default=0.0,
    ),
    number("labial_inclination", Words("Labial face to the occlusal plane"), "deg", 60, 135, default=90.0),
    number("anterior_over_crest", Words("Wax over the crest in front"), "mm", 1, 35, default=10.0),
    number(
        "posterior_over_crest_left", Words("Wax over the crest at the left end"), "mm", 1, 35, default=8.0
    ),
    number(
        "posterior_over_crest_right", Words("Wax over the crest at the right end"), "mm", 1, 35, default=8.0
    ),
    number("posterior_end_angle", Words("Slope of the posterior ends"), "deg", 10, 90, default=45.0),
    number("end_clearance", Words("Landmark to the foot of the posterior end"), "mm", 0, 25, default=2.0),
)


def read_cast(given: Given) -> CastMeasurements:
    """The cast of a document: whole widths halved where a side has no figure of its own."""
    return CastMeasurements(arch=given.text("arch"), left=_side(given, "left"), right=_side(given, "right"))


def read_crest(given: Given) -> TwoSidedArch:
    """The crest's arch form of a document."""
    return arch_from_cast(
        read_cast(given),
        model=given.text("model"),
        exponent=given.maybe("exponent"),
        corrected=given.flag("corrected"),
    )


def read_rim(given: Given) -> RimOutline:
    """The rim of a document; needs the canine width."""
    cast = read_cast(given)
    heights = CrestHeights(
        anterior=given.number("anterior_over_crest"),
        posterior_left=given.number("posterior_over_crest_left"),
        posterior_right=given.number("posterior_over_crest_right"),
    )
    return outline_rim(
        RimPlan(
            arch=cast.arch,
            crest=read_crest(given),
            anterior_width=given.number("anterior_width"),
            posterior_width=given.number("posterior_width"),
            canine_left=_canine(cast.left),
            canine_right=_canine(cast.right),
            labial_offset=given.maybe("labial_offset"),
            papilla_reference=PapillaPoint(given.text("papilla_reference")),
            papilla_behind_crest=given.number("papilla_behind_crest"),
            labial_inclination=given.number("labial_inclination"),
            heights=heights,
            posterior_end_angle=given.number("posterior_end_angle"),
            end_clearance=given.number("end_clearance"),
        )
    )


def _side(given: Given, side: str) -> SideMeasurements:
    return SideMeasurements(
        half_width=_needed(given, f"half_width_{side}", "arch_width", 2),
        depth=_needed(given, f"depth_{side}", "arch_depth", 1),
        canine_half_width=_one_of(given, f"canine_half_width_{side}", "canine_eminence_width", 2),
        canine_depth=_one_of(given, f"canine_depth_{side}", "canine_eminence_depth", 1),
    )


def _one_of(given: Given, own: str, whole: str, parts: int) -> float | None:
    if given.has(own):
        return given.number(own)
    return given.number(whole) / parts if given.has(whole) else None


def _needed(given: Given, own: str, whole: str, parts: int) -> float:
    value = _one_of(given, own, whole, parts)
    if value is None:
        raise InputError(whole, None, Words("a figure in mm, or {own} with its other side").of(own=own))
    return value


def _canine(side: SideMeasurements) -> float:
    if side.canine_half_width is None:
        raise InputError(
            "canine_eminence_width",
            None,
            Words("a width in mm: the canine lines stand over the canine eminences"),
        )
    return side.canine_half_width
