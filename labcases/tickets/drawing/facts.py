"""What a drawing is made from: plain values, no rows of the database."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

DRAWN_KINDS = ("occlusion_rims", "custom_tray", "record_base")


@dataclass(frozen=True, kw_only=True)
class DimensionFacts:
    """One dimension as it is labelled. `target` in `unit`; the rest is as printed. Empty `verdict`: not judged."""

    name: str
    label: str
    target: Decimal | None
    figure: str
    unit: str
    limits: str = ""
    wording: str = ""
    measured: str = ""
    verdict: str = ""


@dataclass(frozen=True, kw_only=True)
class DrawingFacts:
    """One arch's work of one stage kind.

    `cast` holds what was read on this patient's cast, mm by quantity name. Without a width, a depth and the
    canines in it the arch is drawn on a nominal curve, and the drawing says so.
    """

    kind: str
    arch: str
    dimensions: Mapping[str, DimensionFacts] = field(default_factory=dict)
    cast: Mapping[str, Decimal] = field(default_factory=dict)
    # Which point of the papilla the labial offset starts at: a word of labcases.prosthodontics.outline.
    papilla_reference: str = "centre"
    # The share of the retromolar pad's height at which the lower rim ends.
    pad_level: float = 2 / 3
    # Whether the cast's width and depth get the published correction before the curve is drawn.
    corrected: bool = False

    def size(self, name: str, *, otherwise: float) -> float:
        """A dimension's target as a length to draw with, or the usual figure where there is none."""
        dimension = self.dimensions.get(name)
        return otherwise if dimension is None or dimension.target is None else float(dimension.target)

    def has_figure(self, name: str) -> bool:
        dimension = self.dimensions.get(name)
        return dimension is not None and dimension.target is not None
