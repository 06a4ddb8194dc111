"""The half of a dental arch, from its front apex to its posterior end, as a plane curve.

A half is described by how far the curve has dropped back from the apex (`drop`, mm) at a distance `x` (mm)
from the midline. Each half also carries a parameter `t` from 0 at the apex to `end` at the posterior end,
along which it is traced: the beta curve meets its base line at a right angle, where no slope dy/dx exists.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words

Array = NDArray[np.float64]

HALF_WIDTHS = (10.0, 50.0)
DEPTHS = (10.0, 90.0)
EXPONENTS = (0.35, 1.5)


class Half(Protocol):
    """One side of an arch. Lengths in mm; every function takes and returns arrays of one length."""

    @property
    def half_width(self) -> float: ...

    @property
    def depth(self) -> float: ...

    @property
    def end(self) -> float: ...

    def parameter(self, x: Array) -> Array: ...

    def place(self, t: Array) -> tuple[Array, Array]: ...

    def velocity(self, t: Array) -> tuple[Array, Array]: ...

    def acceleration(self, t: Array) -> tuple[Array, Array]: ...


@dataclass(frozen=True)
class BetaHalf:
    """Simplified beta curve: drop = D·(1 − (1 − (x/h)²)^e), h half the width, D the depth, e the exponent.

    With e = 0.8 it is the form of Braun, Hnat, Fender and Legan, Angle Orthod 1998;68:29-36 (equation
    recalled, not seen in the paper); their constant 3.0314 is 4^0.8, so that y(0) = D. With e = 1 the curve
    is a parabola and with e = 1/2 an ellipse.
    """

    half_width: float
    depth: float
    exponent: float = 0.8

    @property
    def end(self) -> float:
        return float(np.pi / 2)

    def parameter(self, x: Array) -> Array:
        return np.arcsin(np.clip(x / self.half_width, 0.0, 1.0))

    def place(self, t: Array) -> tuple[Array, Array]:
        cosine = _cosine(t)
        return self.half_width * np.sin(t), self.depth * (1 - cosine ** (2 * self.exponent))

    def velocity(self, t: Array) -> tuple[Array, Array]:
        cosine, twice = _cosine(t), 2 * self.exponent
        return self.half_width * cosine, self.depth * twice * cosine ** (twice - 1) * np.sin(t)

    def acceleration(self, t: Array) -> tuple[Array, Array]:
        cosine, sine, twice = _cosine(t), np.sin(t), 2 * self.exponent
        bent = cosine**twice - (twice - 1) * cosine ** (twice - 2) * sine**2
        return -self.half_width * sine, self.depth * twice * bent


@dataclass(frozen=True)
class CatenaryHalf:
    """Hanging chain: drop = a·(cosh(x/a) − 1). MacConaill and Scher 1949, Burdi and Lillie 1966: recalled."""

    half_width: float
    depth: float
    constant: float

    @property
    def end(self) -> float:
        return self.half_width

    def parameter(self, x: Array) -> Array:
        return x

    def place(self, t: Array) -> tuple[Array, Array]:
        return t, self.constant * (np.cosh(t / self.constant) - 1)

    def velocity(self, t: Array) -> tuple[Array, Array]:
        return np.ones_like(t), np.sinh(t / self.constant)

    def acceleration(self, t: Array) -> tuple[Array, Array]:
        return np.zeros_like(t), np.cosh(t / self.constant) / self.constant


@dataclass(frozen=True)
class SixthOrderHalf:
    """drop = A·x⁶ + B·x². Noroozi and others, Angle Orthod 2001;71:386-389 (seen in the abstract)."""

    half_width: float
    depth: float
    sixth: float
    second: float

    @property
    def end(self) -> float:
        return self.half_width

    def parameter(self, x: Array) -> Array:
        return x

    def place(self, t: Array) -> tuple[Array, Array]:
        return t, self.sixth * t**6 + self.second * t**2

    def velocity(self, t: Array) -> tuple[Array, Array]:
        return np.ones_like(t), 6 * self.sixth * t**5 + 2 * self.second * t

    def acceleration(self, t: Array) -> tuple[Array, Array]:
        return np.zeros_like(t), 30 * self.sixth * t**4 + 2 * self.second


def beta_half(half_width: float, depth: float, *, exponent: float = 0.8) -> BetaHalf:
    """A beta half after checking that half width and depth (mm) and exponent are possible."""
    _within("half_width", half_width, HALF_WIDTHS)
    _within("depth", depth, DEPTHS)
    low, high = EXPONENTS
    if not low <= exponent <= high:
        raise InputError(
            "exponent",
            round(exponent, 3),
            Words("{low} to {high}: outside it no beta curve is an arch").of(low=low, high=high),
        )
    return BetaHalf(half_width, depth, exponent)


def catenary_half(half_width: float, depth: float) -> CatenaryHalf:
    """The catenary that drops by `depth` at `half_width` (mm); its constant a is solved for."""
    _within("half_width", half_width, HALF_WIDTHS)
    _within("depth", depth, DEPTHS)

    def excess(inverse: float) -> float:
        return float((np.cosh(half_width * inverse) - 1) / inverse - depth)

    steepest = np.log(2 * depth / half_width + 2) * 4 / half_width
    inverse = _root(excess, 1e-9, float(steepest))
    return CatenaryHalf(half_width, depth, 1 / inverse)


def sixth_order_half(
    half_width: float, depth: float, *, canine_half_width: float, canine_depth: float
) -> SixthOrderHalf:
    """The curve A·x⁶ + B·x² through the canine and the posterior point (mm, depths from the apex)."""
    _within("half_width", half_width, HALF_WIDTHS)
    _within("depth", depth, DEPTHS)
    _canine_inside(canine_half_width, canine_depth, half_width=half_width, depth=depth)
    rows = np.array([[canine_half_width**6, canine_half_width**2], [half_width**6, half_width**2]])
    sixth, second = (float(value) for value in np.linalg.solve(rows, np.array([canine_depth, depth])))
    if sixth < 0 or second < 0:
        raise InputError(
            "canine_depth",
            round(canine_depth, 3),
            Words("a depth that bends the arch backwards all the way; measure again"),
        )
    return SixthOrderHalf(half_width, depth, sixth, second)


def exponent_through_canine(
    half_width: float, depth: float, *, canine_half_width: float, canine_depth: float
) -> float:
    """Exponent with which the beta half runs through the canine point (mm from midline, mm behind the apex).

    From y = D·(1 − (x/h)²)^e: e = ln(1 − d/D) / ln(1 − (x/h)²).
    """
    _within("half_width", half_width, HALF_WIDTHS)
    _within("depth", depth, DEPTHS)
    _canine_inside(canine_half_width, canine_depth, half_width=half_width, depth=depth)
    level = 1 - canine_depth / depth
    exponent = float(np.log(level) / np.log(1 - (canine_half_width / half_width) ** 2))
    low, high = EXPONENTS
    if not low <= exponent <= high:
        nearest = [depth * (1 - (1 - (canine_half_width / half_width) ** 2) ** e) for e in EXPONENTS]
        raise InputError(
            "canine_depth",
            round(canine_depth, 3),
            Words("{least:.1f} to {most:.1f} mm with these widths; measure the canine points again").of(
                least=nearest[0], most=nearest[1]
            ),
        )
    return exponent


def _canine_inside(canine_half_width: float, canine_depth: float, *, half_width: float, depth: float) -> None:
    if not 0 < canine_half_width < half_width:
        raise InputError(
            "canine_half_width",
            round(canine_half_width, 3),
            Words("more than 0 and less than {half_width:g} mm").of(half_width=half_width),
        )
    if not 0 < canine_depth < depth:
        raise InputError(
            "canine_depth",
            round(canine_depth, 3),
            Words("more than 0 and less than {depth:g} mm").of(depth=depth),
        )


def _within(field: str, value: float, limits: tuple[float, float]) -> None:
    low, high = limits
    if not low <= value <= high:
        raise InputError(field, round(value, 3), Words("{low:g} to {high:g} mm").of(low=low, high=high))


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    while function(high) < 0:
        high *= 2
    return float(brentq(function, low, high, xtol=1e-15, rtol=1e-14))


def _cosine(t: Array) -> Array:
    # cos(π/2) is 6e-17 in floating point; anything at or below 0 would make the powers undefined.
    return np.maximum(np.cos(t), 1e-300)
