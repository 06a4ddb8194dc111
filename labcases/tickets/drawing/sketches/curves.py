"""Smooth lines through a few points, and a distance with its witness lines. Units of the paper, y downwards."""

from collections.abc import Callable, Sequence

from labcases.tickets.drawing.marks import FINE, Pen, Point, Stroke, dimension_line, line

# All sketches are of one size, so that they stand in a row.
WIDTH, HEIGHT = 44.0, 44.0

Scene = Callable[[], tuple[Sequence[Stroke], Sequence[Stroke]]]


def curve(points: Sequence[Point], pen: Pen, *, closed: bool = False) -> Stroke:
    """A smooth line through all points: Catmull and Rom's spline, as Bézier curves."""
    ends = (points[-1], *points, points[0], points[1]) if closed else (points[0], *points, points[-1])
    bends = [_bend(*four) for four in zip(ends, ends[1:], ends[2:], ends[3:], strict=False)]
    return Stroke(f"M{_place(points[0])}C{' '.join(bends)}{'Z' if closed else ''}", pen)


def _bend(before: Point, start: Point, end: Point, after: Point) -> str:
    leaving = tuple(here + (there - back) / 6 for here, there, back in zip(start, end, before, strict=True))
    coming = tuple(here - (there - back) / 6 for here, there, back in zip(end, after, start, strict=True))
    return f"{_place(leaving)} {_place(coming)} {_place(end)}"


def _place(point: Sequence[float]) -> str:
    return " ".join(f"{round(each, 2):g}" for each in point)


def across(start: Point, end: Point, *, at: float) -> list[Stroke]:
    """The horizontal distance between two points, drawn at the height `at`."""
    return [
        line(start, (start[0], at), FINE),
        line(end, (end[0], at), FINE),
        *dimension_line((start[0], at), (end[0], at)),
    ]


def upright(start: Point, end: Point, *, at: float) -> list[Stroke]:
    """The vertical distance between two points, drawn at the side `at`."""
    return [
        line(start, (at, start[1]), FINE),
        line(end, (at, end[1]), FINE),
        *dimension_line((at, start[1]), (at, end[1])),
    ]
