"""What is read on a cast: the upper front cut in the midline, both casts together, the lower pad from the side."""

import itertools

from labcases.tickets.drawing.marks import EDGE, FINE, HIDDEN, SOLID, Point, Stroke, circle, line
from labcases.tickets.drawing.sketches.curves import Scene, curve, upright
from labcases.tickets.drawing.sketches.lips import PAPILLA, SULCUS, ridge


def _upper_cast() -> list[Stroke]:
    """The ridge with the stone above it."""
    return [
        *ridge(),
        curve([SULCUS, (13.4, 6.6), (12, 8.4)], EDGE),
        line((12, 8.4), (9.6, 8.4), EDGE),
        line((9.6, 8.4), (9.6, 2), FINE),
        line((9.6, 2), (43, 2), FINE),
    ]


def _to_papilla() -> tuple[list[Stroke], list[Stroke]]:
    return _upper_cast(), [circle(PAPILLA, 0.6, SOLID), *upright(SULCUS, PAPILLA, at=37.0)]


def _between_casts() -> tuple[list[Stroke], list[Stroke]]:
    """Both ridges in the midline, the rims that keep them apart only hinted at."""
    lower_sulcus: Point = (14.6, 37.0)
    lower = [lower_sulcus, (16.4, 32), (19, 29.6), (21.6, 31.4), (23.4, 36), (24.4, 40), (26, 42)]
    stone = [curve([lower_sulcus, (13, 37.8), (11.8, 36.2)], EDGE), line((11.8, 36.2), (9.6, 36.2), EDGE)]
    rims = [(14.2, 15), (13.6, 29), (20, 29), (21, 17)]
    hinted = [line(a, b, HIDDEN) for a, b in itertools.pairwise(rims)]
    around = [*_upper_cast(), curve(lower, EDGE), *stone, line((9.6, 36.2), (9.6, 43), FINE), *hinted]
    return around, upright(SULCUS, lower_sulcus, at=4.5)


def _pad(*, mirrored: bool) -> Scene:
    """The lower cast from its left side, or its right: ridge, and the pad behind it with its foot and its top."""

    def turned(points: list[Point]) -> list[Point]:
        return [(44 - x, y) if mirrored else (x, y) for x, y in points]

    def scene() -> tuple[list[Stroke], list[Stroke]]:
        crest = [(3, 23), (10, 24), (18, 26), (24, 27.4), (27.4, 26.8), (30, 22), (33, 16.4), (36.4, 13.6)]
        ramus = [(36.4, 13.6), (39, 12), (42, 6)]
        body = [(3, 23), (3, 38), (41, 38), (42, 6)]
        foot, top, side = turned([(27.4, 26.8), (36.4, 13.6), (19, 0)])
        around = [curve(turned(crest), EDGE), curve(turned(ramus), EDGE)]
        around += [line(a, b, FINE) for a, b in zip(turned(body), turned(body)[1:], strict=False)]
        marks = [circle(foot, 0.6, SOLID), circle(top, 0.6, SOLID)]
        return around, [*marks, *upright(foot, top, at=side[0])]

    return scene


CASTS: dict[str, Scene] = {
    "sulcus_to_papilla": _to_papilla,
    "intersulcus_distance": _between_casts,
    "retromolar_pad_height_right": _pad(mirrored=True),
    "retromolar_pad_height_left": _pad(mirrored=False),
}
