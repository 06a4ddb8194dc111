"""Vertical dimension: rest, occlusion, freeway space, and what the rims must give or take."""

from labcases.prosthodontics.vertical.freeway import FreewaySpace, freeway_space, mean_of
from labcases.prosthodontics.vertical.hinge import (
    HINGE_DISTANCES,
    RimChange,
    change_at,
    opening_angle,
    pin_change,
    rim_changes,
    rim_changes_beside,
)

__all__ = [
    "HINGE_DISTANCES",
    "FreewaySpace",
    "RimChange",
    "change_at",
    "freeway_space",
    "mean_of",
    "opening_angle",
    "pin_change",
    "rim_changes",
    "rim_changes_beside",
]
