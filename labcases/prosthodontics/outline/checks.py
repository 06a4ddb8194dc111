"""Whether the figures of a plan make a rim, and what a technician should be told about one that they do."""

from __future__ import annotations

import numpy as np
from shapely.geometry import LinearRing

from labcases.prosthodontics.outline.frames import Frames
from labcases.prosthodontics.outline.plan import ImpossibleRim, RimPlan
from labcases.prosthodontics.wording import Words

NARROWEST_FOOT = 1.0


def check_shape(plan: RimPlan, frames: Frames, *, canine_right: float, canine_left: float) -> None:
    """Refuse a rim whose edges fold back or cross, or that has no foot to stand on."""
    _check_folding(plan, frames, canine_right=canine_right, canine_left=canine_left)
    _check_foot(plan, frames)
    ring = LinearRing(np.concatenate([frames.labial, frames.lingual[::-1]]))
    if not ring.is_simple:
        raise ImpossibleRim(
            "posterior_width",
            round(plan.posterior_width, 3),
            Words("a width at which the left and the right side of the rim do not meet; or a wider arch"),
        )


def _check_folding(plan: RimPlan, frames: Frames, *, canine_right: float, canine_left: float) -> None:
    steps = np.diff(frames.middle, axis=0)
    length, turn = np.hypot(steps[:, 0], steps[:, 1]), np.abs(frames.turning())
    between = (frames.width[1:] + frames.width[:-1]) / 2
    folded = between * turn >= 2 * length
    if not folded.any():
        return
    place = (frames.s[1:] + frames.s[:-1])[folded][0] / 2
    name = "anterior_width" if -canine_right <= place <= canine_left else "posterior_width"
    widest = float((2 * length[folded] / turn[folded]).min())
    raise ImpossibleRim(
        name,
        round(getattr(plan, name), 3),
        Words("less than about {widest:.1f} mm on this arch: wider, the inner edge folds back on itself").of(
            widest=widest
        ),
    )


def _check_foot(plan: RimPlan, frames: Frames) -> None:
    narrowest = int(np.argmin(frames.foot_width))
    if frames.foot_width[narrowest] >= NARROWEST_FOOT:
        return
    height, width = frames.height[narrowest], frames.width[narrowest]
    steepest = 90 + np.degrees(np.arctan((width - NARROWEST_FOOT) / height))
    raise ImpossibleRim(
        "labial_inclination",
        round(plan.labial_inclination, 3),
        Words(
            "at most {steepest:.0f} degrees with {width:.1f} mm of width and {height:.1f} mm of height: "
            "more leaves no wax where the rim meets the base"
        ).of(steepest=steepest, width=width, height=height),
    )


def notes_on(plan: RimPlan, frames: Frames) -> tuple[str, ...]:
    """What a technician should look at before the wax is poured, in words."""
    notes = []
    middle = int(np.argmin(np.abs(frames.s)))
    lingual_edge = plan.shift - plan.anterior_width / 2
    labial_foot = lingual_edge + float(frames.foot_width[middle])
    if lingual_edge > 0:
        notes.append(
            Words(
                "At the midline the rim stands in front of the ridge: its lingual edge is {lingual_edge:.1f} mm "
                "in front of the crest."
            ).of(lingual_edge=lingual_edge)
        )
    elif labial_foot < 0:
        notes.append(
            Words(
                "At the midline the rim stands behind the ridge: the foot of its labial face is "
                "{labial_foot:.1f} mm behind the crest."
            ).of(labial_foot=-labial_foot)
        )
    if not 90.0 <= plan.labial_inclination <= 105.0:
        notes.append(
            Words(
                "A labial inclination of {labial_inclination:g} degrees is outside the usual range, 90 to 105 "
                "degrees (common practice, no source)."
            ).of(labial_inclination=plan.labial_inclination)
        )
    return tuple(notes)
