"""The upper rim from the front with the marks drawn on its wax; the patient's right is to the left."""

from labcases.tickets.drawing.marks import CENTRE, EDGE, FINE, HIDDEN, Stroke, line
from labcases.tickets.drawing.sketches.curves import Scene, across, curve, upright

MIDLINE, TOP, LEVEL = 22.0, 11.0, 27.0
CANINE, CORNER = 8.6, 12.4  # from the midline


def rim_face() -> list[Stroke]:
    base = [(4, 13), (9, 9.4), (15, 10.2), (22, 8.6), (29, 10.2), (35, 9.4), (40, 13)]
    return [
        curve(base, EDGE),
        line((4, 13), (5.4, LEVEL), EDGE),
        line((40, 13), (38.6, LEVEL), EDGE),
        line((5.4, LEVEL), (38.6, LEVEL), EDGE),
        line((MIDLINE, 5), (MIDLINE, 31), CENTRE),
    ]


def _mark(x: float) -> Stroke:
    return line((x, 12.6), (x, LEVEL), HIDDEN)


def _smile() -> tuple[list[Stroke], list[Stroke]]:
    """The lip's border in a full smile over the rim, and how far it lies above the edge in the midline."""
    border = [(3, 24), (10, 19.6), (17, 17.6), (22, 18), (27, 17.6), (34, 19.6), (41, 24)]
    lip = [curve(border, FINE), curve([(3, 24), (9, 16), (18, 12.8), (22, 13.6)], FINE)]
    lip.append(curve([(41, 24), (35, 16), (26, 12.8), (22, 13.6)], FINE))
    return [*rim_face(), *lip], upright((MIDLINE, 18), (MIDLINE, LEVEL), at=42.2)


def _along(off: float, *, sides: tuple[float, float], at: float = 33.5) -> Scene:
    """From the midline to a mark on one side of it."""
    marks = [_mark(MIDLINE - off), _mark(MIDLINE + off)]
    left, right = (MIDLINE + off * side for side in sides)
    return lambda: ([*rim_face(), *marks], across((left, LEVEL), (right, LEVEL), at=at))


RIMS: dict[str, Scene] = {
    "smile_line_height": _smile,
    "canine_line_right": _along(CANINE, sides=(-1, 0)),
    "canine_line_left": _along(CANINE, sides=(0, 1)),
    "commissure_mark_right": _along(CORNER, sides=(-1, 0)),
    "commissure_mark_left": _along(CORNER, sides=(0, 1)),
}
