"""An occlusion rim seen from above, at true size."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from shapely.geometry import Polygon

from labcases.prosthodontics.arch.halves import Array
from labcases.prosthodontics.outline.checks import check_shape, notes_on
from labcases.prosthodontics.outline.course import Course
from labcases.prosthodontics.outline.frames import Frames, frames_at
from labcases.prosthodontics.outline.plan import RimPlan, check_plan
from labcases.prosthodontics.papilla import PapillaPoint, convert_offset

Point = tuple[float, float]
SAMPLES_PER_SIDE = 161
SIDES = ("right", "left")


@dataclass(frozen=True)
class Station:
    """One place along the rim: points in mm, width across the rim's course."""

    name: str
    s: float
    crest: Point
    middle: Point
    labial: Point
    lingual: Point
    width: float
    height: float


@dataclass(frozen=True)
class RimOutline:
    """A rim that can be made, with its edges as polylines. Frame: x to the patient's left, y forwards, mm."""

    plan: RimPlan
    left: Course
    right: Course
    frames: Frames
    notes: tuple[str, ...]

    @property
    def labial(self) -> Array:
        """Labial and buccal edge from the right end to the left, n × 2."""
        return self.frames.labial

    @property
    def lingual(self) -> Array:
        """Lingual edge from the right end to the left, n × 2."""
        return self.frames.lingual

    @cached_property
    def ring(self) -> Array:
        """The closed outline of the occlusal surface; the last point repeats the first."""
        return np.concatenate([self.labial, self.lingual[::-1], self.labial[:1]])

    @cached_property
    def polygon(self) -> Polygon:
        """The outline of the occlusal surface for Shapely."""
        return Polygon(self.ring)

    @property
    def area(self) -> float:
        """Area of the occlusal surface, mm²."""
        return float(self.polygon.area)

    @cached_property
    def stations(self) -> tuple[Station, ...]:
        """Eleven named stations from the right end over the midline to the left end."""
        names, places = ["midline"], [0.0]
        for course, sign in ((self.right, -1.0), (self.left, 1.0)):
            middle = (course.canine + course.molar) / 2
            marks = (course.canine / 2, course.canine, middle, course.molar, course.table_end)
            names += [f"{name}_{course.side}" for name in ("front", "canine", "premolar", "molar", "end")]
            places += [sign * mark for mark in marks]
        order = np.argsort(places)
        frames = self.frames_at(np.array(places)[order])
        return tuple(_station(frames, row, names[place]) for row, place in enumerate(order))

    def station(self, name: str) -> Station:
        """The station called midline, or front, canine, premolar, molar, end with _left or _right."""
        return next(station for station in self.stations if station.name == name)

    @property
    def papilla(self) -> Point | None:
        """The papilla point that the labial offset starts at, or None where none is used."""
        if self.plan.labial_offset is None:
            return None
        behind = convert_offset(0.0, PapillaPoint.CENTRE, self.plan.papilla_reference)
        apex = self.plan.crest.y(0.0)
        return 0.0, apex - self.plan.papilla_behind_crest - behind

    def frames_at(self, s: Array) -> Frames:
        """Stations at chosen arc lengths on the crest, mm from the midline, signed."""
        return frames_at(self.plan, s, left=self.left, right=self.right)

    def labial_arc(self, start: float, end: float) -> float:
        """Length of the labial edge (mm) between two arc lengths on the crest, start < end."""
        pieces = max(8, round(abs(end - start) * 8))
        steps = np.diff(self.frames_at(np.linspace(start, end, pieces + 1)).labial, axis=0)
        return float(np.hypot(steps[:, 0], steps[:, 1]).sum())

    @cached_property
    def arc_between_canine_lines(self) -> float:
        """Length of the labial edge from canine line to canine line, mm."""
        return self.labial_arc(-self.right.canine, self.left.canine)

    @property
    def chord_between_canine_lines(self) -> float:
        """Straight distance between the labial ends of the two canine lines, mm."""
        return float(
            np.hypot(*np.subtract(self.station("canine_left").labial, self.station("canine_right").labial))
        )

    @cached_property
    def tongue_space(self) -> float:
        """Clear distance between the two lingual edges at the posterior ends, mm."""
        return float(np.hypot(*(self.lingual[-1] - self.lingual[0])))


# A page asks for the same rim for its drawing, its wax and its canine lines, and is shown again and again.
@lru_cache(maxsize=200)
def outline_rim(plan: RimPlan) -> RimOutline:
    """The outline that a plan asks for; ImpossibleRim says in words why there is none. Equal plans share theirs."""
    check_plan(plan)
    right, left = Course.of(plan, "right"), Course.of(plan, "left")
    one = np.linspace(0.0, 1.0, SAMPLES_PER_SIDE)
    s = np.concatenate([-right.table_end * one[:0:-1], left.table_end * one])
    frames = frames_at(plan, s, left=left, right=right)
    check_shape(plan, frames, canine_right=right.canine, canine_left=left.canine)
    return RimOutline(plan, left, right, frames, notes_on(plan, frames))


def _station(frames: Frames, row: int, name: str) -> Station:
    def point(points: Array) -> Point:
        return float(points[row, 0]), float(points[row, 1])

    return Station(
        name=name,
        s=float(frames.s[row]),
        crest=point(frames.crest),
        middle=point(frames.middle),
        labial=point(frames.labial),
        lingual=point(frames.lingual),
        width=float(frames.width[row]),
        height=float(frames.height[row]),
    )
