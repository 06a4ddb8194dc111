"""The upper front cut through the midline, lips to the left: what shows below the lip, and heights from the papilla."""

import itertools
from collections.abc import Sequence

from labcases.tickets.drawing.marks import EDGE, FINE, HIDDEN, SOLID, Point, Stroke, circle, line
from labcases.tickets.drawing.sketches.curves import Scene, across, curve, upright

SULCUS: Point = (15.0, 7.5)
PAPILLA: Point = (23.2, 15.6)
LIP, SMILING = 24.0, 19.4
EDGE_LEVEL, FACE, BACK = 29.5, 13.4, 19.4
_PAPILLA = circle(PAPILLA, 0.6, SOLID)


def ridge() -> list[Stroke]:
    """Sulcus, crest, papilla and palate in one line."""
    points = [
        SULCUS,
        (16.4, 12.5),
        (18.8, 15.9),
        (21.2, 14.8),
        PAPILLA,
        (25, 13),
        (30, 9.6),
        (36, 7.4),
        (43, 6.4),
    ]
    return [curve(points, EDGE)]


def lip(border: float = LIP) -> list[Stroke]:
    """From the base of the nose over the lower border up into the sulcus."""
    outer = [(2, 3.5), (5.5, 4.6), (8, 7), (8.4, 11), (7, border - 4.2), (7.2, border - 1.2), (9.4, border)]
    inner = [(9.4, border), (11.4, border - 1.4), (12, border - 5), (12.6, 11), SULCUS]
    return [curve(outer, FINE), curve(inner, FINE)]


def rim(level: float = EDGE_LEVEL) -> list[Stroke]:
    points = [(14.6, 10), (14.2, 15), (FACE, level), (BACK, level), (21.4, 19), (22, 16.4)]
    return [line(a, b, EDGE) for a, b in itertools.pairwise(points)]


def tooth(level: float = EDGE_LEVEL, *, worn: bool = False) -> list[Stroke]:
    """An incisor where it is wanted, or of the denture that is worn, with its base."""
    crown = [(14.8, 14.5), (13.4, 20), (FACE, level), (14.6, level - 0.2), (18.2, 21), (18.4, 17.2)]
    base = [(14.6, 8.4), (13.9, 11.5), (14.8, 14.5)] if worn else []
    plate = [(18.4, 17.2), (21.4, 18.2), (24.6, 17.2), (28, 13.4), (35, 9.6)] if worn else []
    outline = curve(crown, EDGE if worn else HIDDEN)
    return [outline, *(curve(each, FINE) for each in (base, plate) if each)]


def _papilla_to(border: float, around: Sequence[Stroke] = ()) -> Scene:
    return lambda: (
        [*ridge(), *lip(border), *around],
        [_PAPILLA, *upright(PAPILLA, (9.4, border), at=32.0)],
    )


def _display(around: Sequence[Stroke]) -> Scene:
    return lambda: (
        [*ridge(), *lip(), *around],
        [*upright((9.4, LIP), (FACE, EDGE_LEVEL), at=4.6)],
    )


def _worn_edge() -> tuple[list[Stroke], list[Stroke]]:
    return [*ridge(), *tooth(worn=True)], [_PAPILLA, *upright(PAPILLA, (FACE, EDGE_LEVEL), at=33.0)]


def _worn_face() -> tuple[list[Stroke], list[Stroke]]:
    return [*ridge(), *tooth(worn=True)], [_PAPILLA, *across((FACE, 22.0), PAPILLA, at=35.0)]


def _speaking() -> tuple[list[Stroke], list[Stroke]]:
    """Upper and lower incisor while an s is spoken."""
    lower = [(16.0, 40.6), (14.9, 37), (14.6, 33.4), (16, 33.6), (18.2, 37.4), (18.8, 40.6)]
    around = [*ridge(), *tooth(worn=True), curve(lower, EDGE)]
    return around, upright((FACE, EDGE_LEVEL), (14.6, 33.4), at=8.0)


LIPS: dict[str, Scene] = {
    "papilla_to_resting_lip": _papilla_to(LIP),
    "incisal_display": _display(tooth()),
    "rim_display_at_rest": _display(rim()),
    "papilla_to_smiling_lip": _papilla_to(SMILING),
    "existing_papilla_to_edge": _worn_edge,
    "existing_papilla_to_face": _worn_face,
    "closest_speaking_space": _speaking,
}
