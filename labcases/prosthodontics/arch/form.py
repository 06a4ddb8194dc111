"""The arch form: two halves that meet at the midline, with length, direction and curvature along it.

Frame: x in mm from the midline, positive towards the patient's left; y in mm forwards, 0 at the deeper
posterior end. Arc length s in mm from the midline, signed like x.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from labcases.prosthodontics.arch.halves import Array, Half
from labcases.prosthodontics.arch.tracing import Trace
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words

Point = tuple[float, float]


class ArchForm(Protocol):
    """What every arch model can tell. Lengths in mm, curvature per mm, positive where the arch bulges out."""

    @property
    def model(self) -> str: ...

    def half_width(self, side: str) -> float: ...

    def side_length(self, side: str) -> float: ...

    def y(self, x: float) -> float: ...

    def arc_length(self) -> float: ...

    def arc_length_to(self, x: float) -> float: ...

    def point_at(self, s: float) -> Point: ...

    def tangent_at(self, s: float) -> Point: ...

    def normal_at(self, s: float) -> Point: ...

    def curvature_at(self, s: float) -> float: ...

    def chord_holding(self, arc: float) -> float: ...

    def trace(self, s: Array) -> tuple[Array, Array, Array]: ...


@dataclass(frozen=True)
class TwoSidedArch:
    """An arch form of a left and a right half; the tangent at the midline runs straight across."""

    model: str
    right: Half
    left: Half

    @cached_property
    def _traces(self) -> tuple[Trace, Trace]:
        right = Trace(self.right)
        return right, right if self.left == self.right else Trace(self.left)

    @property
    def depth(self) -> float:
        """From the apex straight back to the deeper posterior end, mm."""
        return max(self.right.depth, self.left.depth)

    def half_width(self, side: str) -> float:
        """From the midline to the posterior end of "left" or "right", mm."""
        return (self.left if side == "left" else self.right).half_width

    def side_length(self, side: str) -> float:
        """Arc length of one side from the midline to its posterior end, mm."""
        return self._traces[1 if side == "left" else 0].length

    def y(self, x: float) -> float:
        """Height of the curve over its base line at `x`, mm; InputError beyond the posterior ends."""
        half = self._half_at(x)
        _, drop = half.place(half.parameter(np.array([abs(x)])))
        return self.depth - float(drop[0])

    def arc_length(self) -> float:
        """Length of the whole arch, mm."""
        return self.side_length("left") + self.side_length("right")

    def arc_length_to(self, x: float) -> float:
        """Arc length from the midline to the point at `x`, mm, signed like `x`."""
        half, trace = self._half_at(x), self._traces[1 if x >= 0 else 0]
        return float(np.copysign(trace.length_to(half.parameter(np.array([abs(x)])))[0], x))

    def point_at(self, s: float) -> Point:
        """The point at the signed arc length `s` from the midline, (x, y) in mm."""
        points, _, _ = self.trace(np.array([s]))
        return float(points[0, 0]), float(points[0, 1])

    def tangent_at(self, s: float) -> Point:
        """Unit vector along the arch towards the patient's left."""
        _, tangents, _ = self.trace(np.array([s]))
        return float(tangents[0, 0]), float(tangents[0, 1])

    def normal_at(self, s: float) -> Point:
        """Unit vector at right angles to the arch, outwards: towards lip or cheek."""
        along, forward = self.tangent_at(s)
        return -forward, along

    def curvature_at(self, s: float) -> float:
        """Curvature per mm, positive where the arch bulges outwards."""
        _, _, curvature = self.trace(np.array([s]))
        return float(curvature[0])

    def chord_holding(self, arc: float) -> float:
        """Straight distance (mm) between the two points that hold `arc` (mm) centred on the midline."""
        allowed = 2 * min(self.side_length("left"), self.side_length("right"))
        if not 0 < arc <= allowed:
            raise InputError(
                "arc",
                round(arc, 3),
                Words("more than 0 and at most {allowed:.1f} mm on this arch").of(allowed=allowed),
            )
        points, _, _ = self.trace(np.array([-arc / 2, arc / 2]))
        return float(np.hypot(*(points[1] - points[0])))

    def trace(self, s: Array) -> tuple[Array, Array, Array]:
        """Points (n × 2, mm), unit tangents (n × 2) and curvatures (n, per mm) at arc lengths `s`."""
        points, tangents, curvature = np.empty((s.size, 2)), np.empty((s.size, 2)), np.empty(s.size)
        for side, chosen, sign in ((0, s < 0, -1.0), (1, s >= 0, 1.0)):
            if not chosen.any():
                continue
            half, trace = (self.right, self.left)[side], self._traces[side]
            _reachable(s[chosen], sign=sign, length=trace.length)
            t = trace.parameter_at(np.abs(s[chosen]))
            points[chosen], tangents[chosen], curvature[chosen] = _measured(half, t, sign, self.depth)
        return points, tangents, curvature

    def _half_at(self, x: float) -> Half:
        half = self.left if x >= 0 else self.right
        if not abs(x) <= half.half_width:
            raise InputError(
                "x",
                round(x, 3),
                Words("−{right:g} to {left:g} mm").of(right=self.right.half_width, left=self.left.half_width),
            )
        return half


def _measured(half: Half, t: Array, sign: float, depth: float) -> tuple[Array, Array, Array]:
    x, drop = half.place(t)
    dx, ddrop = half.velocity(t)
    ddx, dddrop = half.acceleration(t)
    speed = np.hypot(dx, ddrop)
    tangents = np.stack([dx / speed, -sign * ddrop / speed], axis=1)
    return np.stack([sign * x, depth - drop], axis=1), tangents, (dx * dddrop - ddrop * ddx) / speed**3


def _reachable(s: Array, *, sign: float, length: float) -> None:
    beyond = sign * s > length + 1e-9
    if beyond.any():
        left = Words("at most {length:.1f} mm from the midline on the left")
        right = Words("at most {length:.1f} mm from the midline on the right")
        raise InputError(
            "s",
            round(s[beyond][0], 3),
            (left if sign > 0 else right).of(length=length),
        )
