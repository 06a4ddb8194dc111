"""The frame of a cut through a ridge at the midline, at twice full size, with what lies on the ridge."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from labcases.tickets.drawing.labels import LABEL_WIDTH, Label
from labcases.tickets.drawing.marks import FINE, Group, Point, Stroke, dimension_line, path
from labcases.tickets.drawing.ridges import ridge_at_midline, tissue_behind

WIDTH = 87.0
SCALE = 2.0
LEFT = LABEL_WIDTH + 2.0  # where u = 0 stands on the paper
SULCUS, FOOT, CREST = 11.5, 2.0, 7.0
CUT_OFF = 24.0  # the palate goes on behind this


@dataclass(frozen=True)
class CrossCut:
    """u backwards from the labial vestibule, z from the crest of the ridge towards the sulcus, mm in the mouth.

    `level` is where the crest (z = 0) stands on the paper, `height` that of the whole view; a lower ridge is the
    same picture upside down.
    """

    upper: bool
    level: float
    height: float

    def place(self, u: float, z: float) -> Point:
        y = self.level - SCALE * z
        return LEFT + SCALE * u, y if self.upper else self.height - y

    def placed(self, shape: BaseGeometry) -> BaseGeometry:
        if self.upper:
            return affine_transform(shape, [SCALE, 0, 0, -SCALE, LEFT, self.level])
        return affine_transform(shape, [SCALE, 0, 0, SCALE, LEFT, self.height - self.level])

    def corner(self, label: Label, x: float, y: float) -> Point:
        """Where a label's corner goes that stands at (x, y) in the upper picture."""
        return x, y if self.upper else self.height - y - label.height

    def turned(self, point: Point) -> Point:
        """A point of the upper picture, on this paper."""
        return point[0], point[1] if self.upper else self.height - point[1]

    def labelled(
        self, label: Label | None, x: float, y: float, *, way: Sequence[Point], marks: Sequence[Stroke] = ()
    ) -> list[Group]:
        """A label at (x, y) of the upper picture, led along `way`, whose points are of the upper picture too."""
        if label is None:
            return []
        leader = [self.turned(point) for point in way]
        return [label.placed(*self.corner(label, x, y), leader=leader, marks=marks)]


def ridge(*, upper: bool) -> list[Point]:
    return ridge_at_midline(foot=FOOT, sulcus=SULCUS, crest=(CREST, 0.0), upper=upper)


def tissue(surface: Sequence[Point]) -> Polygon:
    return tissue_behind(surface, depth=SULCUS + 40)


def skin(cut: CrossCut, surface: Sequence[Point]) -> Stroke:
    """The surface of the tissue as a line."""
    return Stroke(path([cut.place(*point) for point in surface]), FINE)


def along(surface: Sequence[Point], thickness: Callable[[Point], float]) -> list[Point]:
    """The surface moved off the tissue by a thickness that may change from point to point."""
    curve = LineString(surface)
    moved = []
    for distance in [curve.length * part / 120 for part in range(121)]:
        here, ahead = curve.interpolate(distance), curve.interpolate(min(distance + 0.05, curve.length))
        behind = curve.interpolate(max(distance - 0.05, 0.0))
        dx, dy = ahead.x - behind.x, ahead.y - behind.y
        size = math.hypot(dx, dy)
        off = thickness((here.x, here.y))
        moved.append((here.x + dy / size * off, here.y - dx / size * off))
    return moved


def through(
    cut: CrossCut, surface: Sequence[Point], *, u: float, inner: float, outer: float
) -> tuple[Point, tuple[Stroke, ...]]:
    """A dimension across a layer where it passes `u` behind the crest: its middle on the paper, and its marks."""
    behind = [k for k, point in enumerate(surface) if point[0] >= u and k]
    k = behind[0] if behind else len(surface) - 2
    (x0, y0), (x1, y1) = surface[k - 1], surface[min(k + 1, len(surface) - 1)]
    size = math.hypot(x1 - x0, y1 - y0)
    nx, ny = (y1 - y0) / size, -(x1 - x0) / size
    x, y = surface[k]
    a, b = cut.place(x + nx * inner, y + ny * inner), cut.place(x + nx * outer, y + ny * outer)
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), dimension_line(a, b)
