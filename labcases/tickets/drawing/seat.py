"""What a tray or a base covers, seen from above: its borders on the crest's curve, at full size."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely import unary_union
from shapely.geometry import Polygon

from labcases.prosthodontics.arch.halves import Array
from labcases.tickets.drawing.crests import Crest
from labcases.tickets.drawing.labels import LABEL_WIDTH, tag
from labcases.tickets.drawing.marks import EDGE, FINE, HIDDEN, Group, Point, Stroke, path

WIDTH = 96.0
MIDDLE = (LABEL_WIDTH + 2 + WIDTH) / 2
# From the crest out to the border and, in the mandible, in to the lingual one, mm: for drawing only.
OUTWARD, INWARD = 5.5, 5.0
BEHIND = {"maxillary": 3.0, "mandibular": 4.0}
ROUNDED = 2.4
# Labial and buccal frena: where they stand along the crest, and how deep the notch for them is, mm.
FRENA = ((0.0, 3.0), (-0.5, 2.2), (0.5, 2.2))


@dataclass(frozen=True)
class Seat:
    """The frame of the view: x to the patient's left, y forwards, mm; `top` is the front's place or the back's."""

    crest: Crest
    upper: bool
    top: float

    @property
    def front(self) -> float:
        return self.crest.form.y(0.0) + OUTWARD

    @property
    def back(self) -> float:
        return -(BEHIND["maxillary"] + 2.5) if self.upper else -BEHIND["mandibular"]

    @property
    def bottom(self) -> float:
        return self.top + self.front - self.back

    def place(self, x: float, y: float) -> Point:
        return MIDDLE + x, self.top + (self.front - y if self.upper else y - self.back)

    def beside(self, part: float, out: float) -> Point:
        """A point `out` mm off the crest, at a part of the way to an end: negative right, positive left."""
        return self.all_beside([part], [out])[0]

    def all_beside(self, parts: Sequence[float] | Array, out: Sequence[float] | Array | float) -> list[Point]:
        """Many such points at once: the crest is traced but one time."""
        form = self.crest.form
        points, tangents, _ = form.trace(np.asarray(parts) * form.side_length("left"))
        outwards = np.stack([-tangents[:, 1], tangents[:, 0]], axis=1)
        off = np.broadcast_to(np.asarray(out, dtype=float), (len(points),))
        return [(float(x), float(y)) for x, y in points + off[:, None] * outwards]

    def rail(self, out: float, *, start: float = -1.0, end: float = 1.0) -> list[Point]:
        return [self.place(*point) for point in self.all_beside(np.linspace(start, end, 81), out)]

    def border(self, *, relieved: bool = False) -> Stroke:
        """The whole border, round the vestibule and back across the palate or along the lingual side.

        `relieved`: with a rounded notch at every frenum.
        """
        outer = self.all_beside(np.linspace(-1, 1, 121), OUTWARD)
        half = self.crest.form.half_width("left")
        if self.upper:
            behind = [(x, vibrating_line(self.crest, x)) for x in np.linspace(half, -half, 41)]
        else:
            inner = self.all_beside(np.linspace(1, -1, 81), -INWARD)
            over_pads = [(side * half, -BEHIND["mandibular"]) for side in (1, -1)]
            behind = [over_pads[0], *inner, over_pads[1]]
        area = Polygon([*outer, *behind]).buffer(-ROUNDED).buffer(ROUNDED)
        if relieved:
            area = area.difference(unary_union([self._frenum(*each) for each in FRENA]))
        return Stroke(path([self.place(*point) for point in area.exterior.coords[:-1]], closed=True), EDGE)

    def _frenum(self, part: float, deep: float) -> Polygon:
        turns = np.linspace(-1, 1, 25)
        rim = self.all_beside(part + 0.035 * turns, OUTWARD + 1)
        notch = self.all_beside(part + 0.035 * turns, OUTWARD - deep * (1 - turns**2))
        return Polygon([*rim, *notch[::-1]]).buffer(0)

    def outline(self, *, relieved: bool = False) -> list[Group]:
        """Border and crest, and which side is which."""
        sides = []
        for part, letter in ((-0.88, "R"), (0.88, "L")):
            x, y = self.place(*self.beside(part, -4.5 if self.upper else -0.2))
            sides.append(tag(x, y + 1.2, letter, bold=True))
        return [
            Group(
                strokes=(
                    Stroke(path(self.rail(0.0, start=-0.8, end=0.8)), HIDDEN),
                    self.border(relieved=relieved),
                )
            ),
            *sides,
        ]


def vibrating_line(crest: Crest, x: float) -> float:
    """Where an upper base ends in the palate, curved a little backwards in the midline."""
    half = crest.form.half_width("left")
    return -BEHIND["maxillary"] - 2.5 * (1 - (x / half) ** 2)


def square(centre: Point, side: float) -> Stroke:
    x, y = centre
    half = side / 2
    corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    return Stroke(path(corners, closed=True), FINE)


def rest(seat: Seat, part: float) -> Stroke:
    """An oval over the crest: a finger rest from above."""
    x, y = seat.place(*seat.beside(part, 0.0))
    turns = np.linspace(0, 2 * np.pi, 37)[:-1]
    return Stroke(path([(x + 3 * np.cos(a), y + 5 * np.sin(a)) for a in turns], closed=True), FINE)
