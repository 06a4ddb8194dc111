"""The head from its left side: the plane against the ala-tragus line, and around the head."""

import itertools

from labcases.tickets.drawing.marks import EDGE, FINE, HIDDEN, SOLID, Point, Stroke, arc, circle, line
from labcases.tickets.drawing.sketches.curves import Scene, across, curve

ALA: Point = (9.4, 24.6)
TRAGUS: Point = (26.2, 22.6)


def head() -> list[Stroke]:
    face = [
        (13.4, 5.4),
        (9.4, 11.5),
        (9.6, 16.4),
        (8.2, 19.4),
        (5, 24.4),
        (8.4, 26.2),
        (7.4, 29.2),
        (8.8, 30.6),
        (7.8, 32.6),
        (9.4, 34.4),
        (8.6, 37.4),
        (11.4, 40.4),
    ]
    jaw = [(11.4, 40.4), (18, 39), (24.4, 34.4), (26.4, 27)]
    skull = [(13.4, 5.4), (19, 2), (28, 1.4), (36.4, 5.4), (40, 13), (38.6, 22), (34, 28), (33.4, 36)]
    ear = [(27, 20), (29.4, 18), (31.4, 20), (30, 24), (27.6, 26.4), (26.8, 23.6)]
    eye = [line((10.6, 17.6), (13.4, 16.6), FINE), line((10.6, 17.6), (13, 18.8), FINE)]
    return [curve(face, EDGE), curve(jaw, EDGE), curve(skull, EDGE), curve(ear, FINE), *eye]


def _pitch() -> tuple[list[Stroke], list[Stroke]]:
    """The rim's plane, its front dropped, against a parallel of the ala-tragus line."""
    back, front, parallel = (23.0, 29.4), (9.6, 33.2), (9.6, 31.0)
    reference = [
        line((6, 25.0), (31, 22.0), HIDDEN),
        circle(ALA, 0.6, SOLID),
        circle(TRAGUS, 0.6, SOLID),
        line(back, parallel, HIDDEN),
    ]
    return [*head(), *reference], [line(back, front, EDGE), arc(back, 12.2, 164.2, 173.2, EDGE)]


def _around() -> tuple[list[Stroke], list[Stroke]]:
    near = curve([(9.5, 13.4), (18, 15.8), (30, 15.6), (39.8, 13)], EDGE)
    far = curve([(9.5, 13.4), (18, 10.6), (30, 10.4), (39.8, 13)], HIDDEN)
    return head(), [near, far]


def _forward() -> tuple[list[Stroke], list[Stroke]]:
    """Two rims from the side, the lower one brought forward; one mark on each face."""
    upper = [(12, 8), (36, 8), (36, 20), (11, 20), (12, 8)]
    lower = [(4, 20), (30, 20), (31, 32), (6, 32), (4, 20)]
    blocks = [line(a, b, EDGE) for way in (upper, lower) for a, b in itertools.pairwise(way)]
    marks = [line((21, 14), (21, 20), EDGE), line((14, 20), (14, 26), EDGE)]
    return blocks, [*marks, *across((14, 26), (21, 20), at=37)]


PROFILES: dict[str, Scene] = {
    "plane_pitch": _pitch,
    "head_circumference": _around,
    "protrusive_record": _forward,
}
