"""Ready arch forms from a width and a depth, the same on both sides. Lengths in mm."""

from __future__ import annotations

from labcases.prosthodontics.arch.form import TwoSidedArch
from labcases.prosthodontics.arch.halves import beta_half, catenary_half, sixth_order_half
from labcases.prosthodontics.wording import Words

PUBLISHED_EXPONENT = 0.8

MODELS: dict[str, str] = {
    "beta": Words("beta curve, y = D·(1 − (2x/W)²)^e"),
    "catenary": Words("catenary, drop = a·(cosh(x/a) − 1)"),
    "parabola": Words("parabola, drop = D·(2x/W)²"),
    "ellipse": Words("half ellipse, y = D·√(1 − (2x/W)²)"),
    "sixth_order": Words("sixth-order polynomial through canine and posterior points, drop = A·x⁶ + B·x²"),
}


def beta(width: float, depth: float, *, exponent: float = PUBLISHED_EXPONENT) -> TwoSidedArch:
    """Beta curve; Braun and others, Angle Orthod 1998;68:29-36 (equation recalled) for exponent 0.8."""
    half = beta_half(width / 2, depth, exponent=exponent)
    return TwoSidedArch("beta", half, half)


def parabola(width: float, depth: float) -> TwoSidedArch:
    """Parabola; Currier, Am J Orthod 1969;56:164-179 (recalled)."""
    half = beta_half(width / 2, depth, exponent=1.0)
    return TwoSidedArch("parabola", half, half)


def ellipse(width: float, depth: float) -> TwoSidedArch:
    """Half an ellipse with half axes W/2 and D; Currier, Am J Orthod 1969;56:164-179 (recalled)."""
    half = beta_half(width / 2, depth, exponent=0.5)
    return TwoSidedArch("ellipse", half, half)


def catenary(width: float, depth: float) -> TwoSidedArch:
    """Catenary; MacConaill and Scher 1949, Burdi and Lillie 1966 (recalled)."""
    half = catenary_half(width / 2, depth)
    return TwoSidedArch("catenary", half, half)


def sixth_order(width: float, depth: float, *, canine_width: float, canine_depth: float) -> TwoSidedArch:
    """Noroozi's polynomial; Angle Orthod 2001;71:386-389 (abstract seen)."""
    half = sixth_order_half(width / 2, depth, canine_half_width=canine_width / 2, canine_depth=canine_depth)
    return TwoSidedArch("sixth_order", half, half)
