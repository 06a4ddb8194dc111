"""The face from the front: widths, lengths, the two vertical dimensions, midline and plane."""

from collections.abc import Iterable

from labcases.tickets.drawing.marks import (
    CENTRE,
    EDGE,
    FINE,
    HIDDEN,
    SOLID,
    Point,
    Stroke,
    arc,
    circle,
    dimension_line,
    line,
)
from labcases.tickets.drawing.sketches.curves import Scene, across, curve, upright

MIDDLE = 22.0
HAIRLINE, CHIN, PUPILS, MOUTH = 7.0, 40.3, 17.6, 31.6
CHEEK = 8.2
NOSE_MARK: Point = (MIDDLE, 24.5)


def _both(points: Iterable[Point]) -> list[list[Point]]:
    """Points of the right half of the paper, and their mirror image."""
    half = list(points)
    return [half, [(2 * MIDDLE - x, y) for x, y in half]]


def face(*, jaw: float = 0.0) -> list[Stroke]:
    """Outline, eyes, nose and lips; `jaw` lowers chin and lower lip and parts the lips."""
    strokes: list[Stroke] = []
    for side in _both([(22, 3.4), (29.5, 5), (34.6, 10.5), (35.8, 19), (34.4, 27)]):
        strokes.append(curve(side, EDGE))
    for side in _both([(34.4, 27), (31.2, 34 + jaw / 2), (27, 38.8 + jaw), (22, CHIN + jaw)]):
        strokes.append(curve(side, EDGE))
    for side in _both([(35.6, 16), (37.6, 15.6), (37.4, 21), (35.4, 24)]):
        strokes.append(curve(side, FINE))
    for side in _both([(33.6, 14), (30, 9), (26, 7.2), (22, HAIRLINE)]):
        strokes.append(curve(side, FINE))
    return [*strokes, *_eyes(), *_nose(), *_lips(jaw)]


def _eyes() -> list[Stroke]:
    strokes: list[Stroke] = []
    for side in _both([(25.5, 17.8), (28.4, 16.2), (31.6, 17.6), (28.4, 18.8)]):
        strokes.append(curve(side, FINE, closed=True))
        strokes.append(circle((side[1][0], PUPILS - 0.1), 0.8, SOLID))
    for side in _both([(24.8, 14.2), (28.6, 12.9), (32.2, 14.4)]):
        strokes.append(curve(side, FINE))
    return strokes


def _nose() -> list[Stroke]:
    strokes = []
    for side in _both([(23.4, 18.6), (23.8, 22.6), (25.2, 25.4), (24.6, 27), (23.2, 26.7), (22, 27.3)]):
        strokes.append(curve(side, FINE))
    return strokes


def _lips(jaw: float) -> list[Stroke]:
    strokes = []
    for side in _both([(22, 30.6), (23.6, 30), (27.5, MOUTH)]):
        strokes.append(curve(side, FINE))
    for drop in {0.0, jaw}:
        for side in _both([(22, 31.9 + drop), (24.6, 31.8 + drop * 0.8), (27.5, MOUTH)]):
            strokes.append(curve(side, FINE))
    for side in _both([(22, 34 + jaw), (25, 33.3 + jaw), (27.5, MOUTH)]):
        strokes.append(curve(side, FINE))
    return strokes


def _wide(left: Point, right: Point, *, at: float) -> Scene:
    return lambda: (face(), across(left, right, at=at))


def _between_marks(jaw: float) -> Scene:
    """Mark on the nose to mark on the chin; at rest the jaw hangs a little lower."""

    def scene() -> tuple[list[Stroke], list[Stroke]]:
        chin = (MIDDLE, 37.4 + jaw)
        marks = [circle(NOSE_MARK, 0.7, SOLID), circle(chin, 0.7, SOLID)]
        return face(jaw=jaw), [*marks, *upright(NOSE_MARK, chin, at=40.5)]

    return scene


def _freeway() -> tuple[list[Stroke], list[Stroke]]:
    """The chin's mark at rest, and where it goes when the rims meet."""
    rest, met = (MIDDLE, 39.4), (MIDDLE, 36.6)
    around = [*face(jaw=2.0), circle(NOSE_MARK, 0.7, SOLID), line(NOSE_MARK, (MIDDLE, 36.6), HIDDEN)]
    return around, [circle(rest, 0.7, SOLID), circle(met, 0.7, SOLID), *upright(met, rest, at=37.5)]


def _midline() -> tuple[list[Stroke], list[Stroke]]:
    mark = 25.0
    rim = [line((17.5, 30.4), (26.5, 30.4), EDGE), line((17.5, 33.6), (26.5, 33.6), EDGE)]
    around = [*face(jaw=2.0), *rim, line((MIDDLE, 1), (MIDDLE, 43), CENTRE)]
    at = line((mark, 30.4), (mark, 36.6), EDGE)
    return around, [at, *dimension_line((MIDDLE, 36.4), (mark, 36.4))]


def _cant() -> tuple[list[Stroke], list[Stroke]]:
    """The rim's plane against the line through the pupils, the patient's left lower."""
    pupils = [line((6, PUPILS), (38, PUPILS), HIDDEN), line((12, 31.2), (36, 31.2), HIDDEN)]
    plane = line((12, 31.2), (36, 34.4), EDGE)
    return [*face(), *pupils], [plane, arc((12, 31.2), 21, 0, 7.6, EDGE)]


FACES: dict[str, Scene] = {
    "interalar_width": _wide((18.7, 25.6), (25.3, 25.6), at=29.2),
    "mouth_width": _wide((16.5, MOUTH), (27.5, MOUTH), at=36.6),
    "inner_canthal_distance": _wide((18.5, 17.8), (25.5, 17.8), at=21.6),
    "bizygomatic_width": _wide((CHEEK, 19), (2 * MIDDLE - CHEEK, 19), at=42.4),
    "face_length": lambda: (face(), upright((MIDDLE, HAIRLINE), (MIDDLE, CHIN), at=41.0)),
    "upper_lip_length": lambda: (face(), upright((MIDDLE, 27.3), (MIDDLE, 31.9), at=32.5)),
    "vertical_dimension_rest": _between_marks(2.0),
    "vertical_dimension_occlusion": _between_marks(0.0),
    "freeway_space": _freeway,
    "midline_deviation": _midline,
    "plane_cant": _cant,
}
