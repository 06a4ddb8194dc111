"""Hatching of cut faces, so that wax and base stay apart without colour."""

import math

from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from labcases.tickets.drawing.marks import HATCH, Pen, Stroke, path


def hatched(shape: BaseGeometry, *, spacing: float, angle: float) -> Stroke:
    """Parallel lines over a shape, `spacing` mm apart, at `angle` degrees to the paper's horizontal."""
    if shape.is_empty:
        return Stroke("", HATCH)
    min_x, min_y, max_x, max_y = shape.bounds
    middle, reach = ((min_x + max_x) / 2, (min_y + max_y) / 2), math.hypot(max_x - min_x, max_y - min_y)
    along = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    pieces = []
    for step in range(-int(reach / spacing), int(reach / spacing) + 1):
        x, y = middle[0] - along[1] * step * spacing, middle[1] + along[0] * step * spacing
        ray = LineString(
            [(x - along[0] * reach, y - along[1] * reach), (x + along[0] * reach, y + along[1] * reach)]
        )
        pieces += _lines(ray.intersection(shape))
    return Stroke("".join(path(piece.coords) for piece in pieces), HATCH)


def edges(shape: Polygon, pen: Pen) -> tuple[Stroke, ...]:
    """The outline of an area; none of an empty one."""
    return () if shape.is_empty else (Stroke(path(shape.exterior.coords), pen),)


def polygons(shape: BaseGeometry) -> list[Polygon]:
    """The areas of a shape that are worth drawing, without slivers."""
    parts = [shape] if isinstance(shape, Polygon) else list(getattr(shape, "geoms", ()))
    return [part for part in parts if isinstance(part, Polygon) and part.area > 0.05]


def largest(shape: BaseGeometry) -> Polygon:
    return max(polygons(shape), key=lambda part: part.area, default=Polygon())


def _lines(shape: BaseGeometry) -> list[LineString]:
    parts = [shape] if isinstance(shape, LineString) else list(getattr(shape, "geoms", ()))
    return [part for part in parts if isinstance(part, LineString) and part.length > 0.1]
