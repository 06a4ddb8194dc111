"""The tissue that a workpiece sits on, as it is cut through: ordinary shapes, no patient's."""

from collections.abc import Sequence

from shapely.geometry import Polygon

from labcases.tickets.drawing.marks import Point


def bezier(points: Sequence[Point], *, steps: int = 24) -> list[Point]:
    """A cubic Bézier curve through four control points."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = points

    def at(a: float, b: float, c: float, d: float, t: float) -> float:
        return (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d

    return [(at(ax, bx, cx, dx, k / steps), at(ay, by, cy, dy, k / steps)) for k in range(steps + 1)]


def ridge_at_midline(*, foot: float, sulcus: float, crest: Point, upper: bool) -> list[Point]:
    """The surface from the labial sulcus over the crest to the palate, or to the floor of the mouth.

    In the frame of the cut: first backwards from the labial edge, second from the occlusal plane to the ridge, mm.
    """
    across, high = crest
    labial = bezier(
        [(foot, sulcus), (foot + 0.4, high + 0.3 * (sulcus - high)), (across - 3.2, high), (across, high)]
    )
    if upper:
        inner = [(across, high), (across + 4.5, high), (across + 7, sulcus - 3.5), (across + 20, sulcus - 2)]
    else:
        inner = [(across, high), (across + 3.2, high), (across + 5.2, high + 3), (across + 6.2, sulcus - 0.5)]
    return labial + bezier(inner)[1:]


def tissue_behind(surface: Sequence[Point], *, depth: float) -> Polygon:
    """The area between a surface and a level `depth`, on the side away from the occlusal plane."""
    return Polygon([*surface, (surface[-1][0], depth), (surface[0][0], depth)]).buffer(0)
