"""From a case's readings, by their names in the catalogue of quantities, to a cast and a plan for its rim."""

from __future__ import annotations

from collections.abc import Mapping

from labcases.prosthodontics.arch import CastMeasurements, arch_from_cast
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline.papilla import PapillaPoint
from labcases.prosthodontics.outline.plan import ARCHES, CrestHeights, ImpossibleRim, RimPlan

# The first of each that has a reading is taken.
WIDTHS = {"maxillary": ("hamular_notch_width", "tuberosity_width"), "mandibular": ("pad_to_pad_width",)}
DEPTHS = ("arch_depth",)
CANINES = ("canine_eminence_width",)
NEEDED_TARGETS = ("anterior_width", "posterior_width")
OPTIONAL_TARGETS = ("labial_offset", "labial_inclination", "posterior_end_angle")


def missing_figures(arch: str, figures: Mapping[str, object]) -> tuple[str, ...]:
    """Which readings are still needed before the rim can be drawn at true size; empty when none is."""
    needed = (WIDTHS[_arch(arch)], DEPTHS, CANINES)
    return tuple(names[0] for names in needed if not any(name in figures for name in names))


def cast_from_figures(arch: str, figures: Mapping[str, float]) -> CastMeasurements:
    """The cast from its readings in mm; InputError names the first that is missing."""
    missing = missing_figures(arch, figures)
    if missing:
        raise InputError(missing[0], None, "a reading in mm; without it the arch form is not known")
    return CastMeasurements.symmetric(
        arch,
        posterior_width=_first(figures, WIDTHS[arch]),
        depth=_first(figures, DEPTHS),
        canine_width=_first(figures, CANINES),
        canine_depth=float(figures["canine_eminence_depth"]) if "canine_eminence_depth" in figures else None,
    )


def plan_from_figures(
    arch: str,
    *,
    figures: Mapping[str, float],
    targets: Mapping[str, float],
    papilla_reference: PapillaPoint = PapillaPoint.CENTRE,
    heights: CrestHeights | None = None,
    model: str = "beta",
    corrected: bool = False,
) -> RimPlan:
    """The plan for a rim: the cast's readings (mm) and the targets of its specification by dimension name.

    `targets` needs both widths; offset, inclination and end angle are used where given. Anything else in
    either mapping is left alone. Heights over the crest stay at the delivered figures unless given.
    """
    cast = cast_from_figures(arch, figures)
    for name in NEEDED_TARGETS:
        if name not in targets:
            raise InputError(name, None, "a target in mm from the rim's specification")
    wanted = {name: float(targets[name]) for name in OPTIONAL_TARGETS if name in targets}
    canine = cast.left.canine_half_width
    if canine is None:
        raise ImpossibleRim("canine_eminence_width", None, "a reading in mm")
    return RimPlan(
        arch=arch,
        crest=arch_from_cast(cast, model=model, corrected=corrected),
        anterior_width=float(targets["anterior_width"]),
        posterior_width=float(targets["posterior_width"]),
        canine_left=canine,
        canine_right=canine,
        papilla_reference=papilla_reference,
        heights=heights or CrestHeights(),
        **wanted,
    )


def _first(figures: Mapping[str, float], names: tuple[str, ...]) -> float:
    return float(next(figures[name] for name in names if name in figures))


def _arch(arch: str) -> str:
    if arch not in ARCHES:
        raise InputError("arch", arch, " or ".join(ARCHES))
    return arch
