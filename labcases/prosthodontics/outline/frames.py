"""Stations along a rim: where its middle runs, which way it faces and how wide and high it is there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from labcases.prosthodontics.arch.halves import Array
from labcases.prosthodontics.outline.course import Course
from labcases.prosthodontics.outline.plan import RimPlan


@dataclass(frozen=True)
class Frames:
    """Arrays of one length n, one row per station. Lengths in mm in the arch's frame.

    s: arc length on the crest from the midline, signed. middle: of the occlusal surface. outward: unit vector
    at right angles to the rim's course, towards lip or cheek. stretch: length of the rim's middle per mm of
    crest. lean: sideways run of the labial face per mm of height. cut: height of the sloped end.
    """

    s: Array
    crest: Array
    middle: Array
    outward: Array
    stretch: Array
    width: Array
    height: Array
    lean: Array
    cut: Array

    @property
    def labial(self) -> Array:
        """Labial and buccal edge of the occlusal surface."""
        return self.middle + self.outward * (self.width / 2)[:, None]

    @property
    def lingual(self) -> Array:
        """Lingual edge of the occlusal surface."""
        return self.middle - self.outward * (self.width / 2)[:, None]

    @property
    def labial_foot(self) -> Array:
        """Where the labial face meets the record base, seen from above."""
        return self.middle + self.outward * (self.width / 2 - self.height * self.lean)[:, None]

    @property
    def foot_width(self) -> Array:
        """Width of the wax where it meets the record base."""
        return self.width - self.height * self.lean

    def turning(self) -> Array:
        """Turn of the rim's course from each station to the next, radians, positive round the front."""
        angle = np.unwrap(np.arctan2(self.outward[:, 1], self.outward[:, 0]))
        return -np.diff(angle)


def frames_at(plan: RimPlan, s: Array, *, left: Course, right: Course) -> Frames:
    """The stations at signed arc lengths `s` (ascending)."""
    crest, tangent, curvature = plan.crest.trace(s)
    normal = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
    shift, slope, width, height, lean, cut = _both(s, left=left, right=right)
    # With c = P + δN the course runs along (1 + κδ)T + δ'N, and its outward normal along (1 + κδ)N − δ'T.
    along = 1 + curvature * shift
    stretch = np.hypot(along, slope)
    outward = (along[:, None] * normal - slope[:, None] * tangent) / stretch[:, None]
    middle = crest + shift[:, None] * normal
    return Frames(s, crest, middle, outward, stretch, width, height, lean, cut)


def _both(s: Array, *, left: Course, right: Course) -> list[Array]:
    rows = [np.empty_like(s) for _ in range(6)]
    for course, chosen, sign in ((right, s < 0, -1.0), (left, s >= 0, 1.0)):
        distance = np.abs(s[chosen])
        shift, slope = course.shift(distance)
        found = (shift, sign * slope, course.width(distance), course.height(distance), course.lean(distance))
        for row, values in zip(rows, (*found, course.cut(distance)), strict=True):
            row[chosen] = values
    return rows
