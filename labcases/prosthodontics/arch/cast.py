"""From what is measured on the cast to the arch form of its ridge crest."""

from __future__ import annotations

from dataclasses import dataclass, replace

from labcases.prosthodontics.arch.form import TwoSidedArch
from labcases.prosthodontics.arch.halves import (
    Half,
    beta_half,
    catenary_half,
    exponent_through_canine,
    sixth_order_half,
)
from labcases.prosthodontics.arch.models import MODELS, PUBLISHED_EXPONENT
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words

# Noroozi and others, Angle Orthod 2001;71:386-389 (introduction seen): added to a width and a depth that were
# taken between tooth landmarks before the beta curve is drawn through them.
WIDTH_CORRECTION = 1.0
DEPTH_CORRECTION = 1.5


@dataclass(frozen=True, kw_only=True)
class SideMeasurements:
    """One side of a cast, mm. Depths run straight back from the front apex of the crest.

    half_width: midline to the posterior landmark (tuberosity, hamular notch or retromolar pad).
    depth: apex to the level of that landmark. canine_half_width: midline to the crest at the canine
    eminence. canine_depth: apex to the level of that point.
    """

    half_width: float
    depth: float
    canine_half_width: float | None = None
    canine_depth: float | None = None


@dataclass(frozen=True, kw_only=True)
class CastMeasurements:
    """Both sides of a cast, from the crest of the ridge. "maxillary" or "mandibular"."""

    arch: str
    left: SideMeasurements
    right: SideMeasurements

    @classmethod
    def symmetric(
        cls,
        arch: str,
        *,
        posterior_width: float,
        depth: float,
        canine_width: float | None = None,
        canine_depth: float | None = None,
    ) -> CastMeasurements:
        """A cast whose two sides are alike: whole widths and depths, mm."""
        side = SideMeasurements(
            half_width=posterior_width / 2,
            depth=depth,
            canine_half_width=None if canine_width is None else canine_width / 2,
            canine_depth=canine_depth,
        )
        return cls(arch=arch, left=side, right=side)


def arch_from_cast(
    cast: CastMeasurements, *, model: str = "beta", exponent: float | None = None, corrected: bool = False
) -> TwoSidedArch:
    """The crest's arch form. Each half has its own width, depth and exponent; tangents agree at the midline.

    `exponent` None: solved through the canine point where its depth was measured, 0.8 otherwise.
    `corrected`: add 1 mm to the width and 1.5 mm to the depth first (a correction published for widths
    between teeth; on an edentulous crest it is the laboratory's choice and off unless asked for).
    Raises InputError when the points belong to no arch.
    """
    if model not in MODELS:
        raise InputError("model", model, ", ".join(MODELS))
    right, left = (_corrected(side) if corrected else side for side in (cast.right, cast.left))
    return TwoSidedArch(model, _half(right, model, exponent, "right"), _half(left, model, exponent, "left"))


def _half(side: SideMeasurements, model: str, exponent: float | None, name: str) -> Half:
    try:
        if model == "catenary":
            return catenary_half(side.half_width, side.depth)
        if model == "sixth_order":
            return _sixth_order(side)
        return beta_half(side.half_width, side.depth, exponent=_exponent(side, model, exponent))
    except InputError as error:
        raise InputError(f"{error.field}_{name}", error.value, error.allowed) from error


def _exponent(side: SideMeasurements, model: str, exponent: float | None) -> float:
    if model != "beta":
        return {"parabola": 1.0, "ellipse": 0.5}[model]
    if exponent is not None:
        return exponent
    if side.canine_half_width is None or side.canine_depth is None:
        return PUBLISHED_EXPONENT
    return exponent_through_canine(
        side.half_width,
        side.depth,
        canine_half_width=side.canine_half_width,
        canine_depth=side.canine_depth,
    )


def _sixth_order(side: SideMeasurements) -> Half:
    if side.canine_half_width is None or side.canine_depth is None:
        raise InputError(
            "canine_depth",
            str(Words("missing")),
            Words("needed, with the canine width, for the sixth-order polynomial"),
        )
    return sixth_order_half(
        side.half_width,
        side.depth,
        canine_half_width=side.canine_half_width,
        canine_depth=side.canine_depth,
    )


def _corrected(side: SideMeasurements) -> SideMeasurements:
    return replace(
        side, half_width=side.half_width + WIDTH_CORRECTION / 2, depth=side.depth + DEPTH_CORRECTION
    )
