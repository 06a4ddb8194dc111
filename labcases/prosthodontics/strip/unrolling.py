"""The labial face of a rim laid flat.

A face that keeps one inclination along a curved edge is a surface of constant slope and can be laid flat
without stretching. Flat, its edge bends with the curvature that it has on the rim times the cosine of the
inclination: an upright face becomes a straight strip, a leaning one a shallow bow.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from labcases.prosthodontics.arch.halves import Array
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline.rim import RimOutline
from labcases.prosthodontics.wording import Words

SPACING = 0.25


@dataclass(frozen=True)
class Unrolled:
    """The flat face. Paper frame in mm: X to the patient's left, Y from the occlusal edge towards the ridge.

    arc: lengths along the rim's labial edge from the midline, signed, ascending. edge: the flat edge at those
    lengths. heading: its direction there, radians. face: height of the strip, measured along the face.
    inclination: of the face to the occlusal plane, degrees.
    """

    arc: Array
    edge: Array
    heading: Array
    face: float
    inclination: float

    def place(self, arc: Array, up: Array) -> Array:
        """Points on the flat face at lengths `arc` along the edge and `up` along the face, n × 2, mm."""
        x = np.interp(arc, self.arc, self.edge[:, 0])
        y = np.interp(arc, self.arc, self.edge[:, 1])
        heading = np.interp(arc, self.arc, self.heading)
        return np.stack([x - np.sin(heading) * up, y + np.cos(heading) * up], axis=1)

    def ruling(self, arc: float, *, start: float = 0.0, end: float | None = None) -> Array:
        """A line straight up the face at `arc`, from `start` to `end` (the whole height unless given)."""
        return self.place(np.array([arc, arc]), np.array([start, self.face if end is None else end]))

    def along(self, up: float) -> Array:
        """A line that keeps the distance `up` from the occlusal edge along the whole face."""
        return self.place(self.arc, np.full_like(self.arc, up))

    @cached_property
    def outline(self) -> Array:
        """The closed cutting line of the strip."""
        return np.concatenate([self.along(0.0), self.along(self.face)[::-1], self.along(0.0)[:1]])


def unroll(outline: RimOutline, *, half_length: float, height: float) -> Unrolled:
    """The labial face `half_length` mm of edge to each side and `height` mm tall, both at true size.

    `height` is vertical; along the face it becomes height / sin(inclination). InputError where the rim's edge
    is shorter than asked.
    """
    inclination = outline.plan.labial_inclination
    arc, turned = _labial_edge(outline)
    reach = float(min(-arc[0], arc[-1]))
    if not 0 < half_length <= reach:
        raise InputError(
            "half_length",
            round(half_length, 2),
            Words("at most {reach:.1f} mm, the rim's labial edge to one side").of(reach=reach),
        )
    flat = np.concatenate([np.arange(-half_length, half_length, SPACING), [half_length]])
    bend = np.interp(flat, arc, turned) - np.interp(0.0, arc, turned)
    face = height / float(np.sin(np.radians(inclination)))
    return Unrolled(flat, _walk(flat, bend), bend, face, inclination)


def _labial_edge(outline: RimOutline) -> tuple[Array, Array]:
    """Arc lengths from the midline along the labial edge, and the flat edge's direction there, radians.

    Behind the canine lines the inclination fades, and the flat edge straightens with it.
    """
    points, lean = outline.labial, outline.frames.lean
    steps = np.diff(points, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    arc = np.concatenate([[0.0], np.cumsum(lengths)])
    arc -= arc[int(np.argmin(np.abs(outline.frames.s)))]
    turn = np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
    # The cosine of the inclination, from the face's sideways run per mm of height.
    cosine = -np.sin(np.arctan(lean[1:-1]))
    turned = np.concatenate([[0.0], np.cumsum(turn * cosine)])
    middles = (arc[1:] + arc[:-1]) / 2
    ends = np.concatenate([[arc[0]], middles, [arc[-1]]])
    return ends, np.concatenate([turned[:1], turned, turned[-1:]])


def _walk(arc: Array, heading: Array) -> Array:
    """The curve with the given headings, its midline point at (0, 0)."""
    step, middle = np.diff(arc), (heading[1:] + heading[:-1]) / 2
    x = np.concatenate([[0.0], np.cumsum(step * np.cos(middle))])
    y = np.concatenate([[0.0], np.cumsum(step * np.sin(middle))])
    return np.stack([x - np.interp(0.0, arc, x), y - np.interp(0.0, arc, y)], axis=1)
