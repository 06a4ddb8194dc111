"""Canine lines as the clinician marked them: along the wax, not on the crest of the ridge."""

from __future__ import annotations

from dataclasses import replace

from scipy.optimize import newton

from labcases.prosthodontics.outline.plan import ImpossibleRim, RimPlan
from labcases.prosthodontics.outline.rim import outline_rim
from labcases.prosthodontics.wording import Words

CLOSE_ENOUGH = 0.005


def with_canine_lines(plan: RimPlan, *, right: float | None = None, left: float | None = None) -> RimPlan:
    """The plan with its canine lines where their arcs along the labial face (mm from the midline) reach.

    A side without a mark keeps its place on the crest. ImpossibleRim where the rim has no such place.
    """
    for side, arc in (("right", right), ("left", left)):
        if arc is not None:
            plan = _moved(plan, side, arc)
    return plan


def _moved(plan: RimPlan, side: str, arc: float) -> RimPlan:
    here = plan.canine_right if side == "right" else plan.canine_left
    now = _arc(plan, side, here)
    try:
        place = newton(
            lambda at: _arc(plan, side, float(at)) - arc, here, x1=here * arc / now + 0.01, tol=CLOSE_ENOUGH
        )
        return _at(plan, side, float(place))
    except (ImpossibleRim, RuntimeError):
        raise ImpossibleRim(
            f"canine_line_{side}",
            round(arc, 2),
            Words(
                "a mark that this rim can have; over the canine eminence it lies {now:.1f} mm along the face"
            ).of(now=now),
        ) from None


def _arc(plan: RimPlan, side: str, place: float) -> float:
    outline = outline_rim(_at(plan, side, place))
    if side == "right":
        return outline.labial_arc(-outline.right.canine, 0.0)
    return outline.labial_arc(0.0, outline.left.canine)


def _at(plan: RimPlan, side: str, place: float) -> RimPlan:
    return replace(plan, canine_right=place) if side == "right" else replace(plan, canine_left=place)
