"""The rim from the front: heights from the sulcus to the occlusal plane, in front and at the molars."""

import math
from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext_lazy as _

from labcases.prosthodontics.outline import front_view
from labcases.tickets.drawing.labels import LABEL_WIDTH
from labcases.tickets.drawing.marks import (
    CENTRE,
    EDGE,
    FINE,
    HIDDEN,
    Group,
    Point,
    Stroke,
    View,
    dimension_line,
    line,
    path,
)
from labcases.tickets.drawing.rim import Rim

NAME = _("From the front")
GAP = 2.0
WIDTH = 3 * LABEL_WIDTH + 2 * GAP
MIDDLE = WIDTH / 2
ABOVE = 3.0
BESIDE_FRENUM = 5.0


@dataclass(frozen=True)
class Front:
    """The frame of the view: x to the patient's left, z from the occlusal plane towards the ridge, mm."""

    rim: Rim
    half: float
    plane: float

    def place(self, x: float, z: float) -> Point:
        return MIDDLE + x, self.plane - z if self.rim.is_upper else self.plane + z

    def border(self, x: float) -> float:
        """Height of the sulcus at `x`: the frenum notches it in the midline."""
        drawn = self.rim.drawn
        end = drawn["posterior_height_left" if x >= 0 else "posterior_height_right"]
        front = drawn["anterior_height"]
        part = max((abs(x) - BESIDE_FRENUM) / (self.half - BESIDE_FRENUM), 0.0)
        notch = 3.2 * max(1 - (abs(x) / 2.6) ** 2, 0.0)
        return end + (front - end) * (1 - part**2) - notch


def rim_from_front(rim: Rim) -> View:
    view = front_view(rim.outline)
    half = float(np.abs(view.occlusal[:, 0]).max())
    tallest = max(
        rim.drawn[name] for name in ("anterior_height", "posterior_height_left", "posterior_height_right")
    )
    plane = ABOVE + tallest if rim.is_upper else ABOVE
    front = Front(rim, half, plane)
    picture = ABOVE + tallest + (2.0 if rim.is_upper else 3.0)
    groups = [_face(front), _lines(front), *_heights(front, picture)]
    bottom = max([picture, *(box.bottom for group in groups for box in group.boxes)])
    return View(str(NAME), 0, 0, WIDTH, bottom, tuple(groups))


def _face(front: Front) -> Group:
    half = front.half
    across = np.linspace(-half, half, 121)
    border = [front.place(x, front.border(x)) for x in across]
    ring = [front.place(-half, 0), *border, front.place(half, 0)]
    heights = front.rim.outline.plan.heights
    wax = [
        front.place(
            x,
            heights.anterior
            + ((heights.posterior_left if x > 0 else heights.posterior_right) - heights.anterior)
            * (abs(x) / half) ** 2,
        )
        for x in across
    ]
    return Group(strokes=(Stroke(path(wax), HIDDEN), Stroke(path(ring, closed=True), EDGE)))


def _lines(front: Front) -> Group:
    """Midline and canine lines on the labial face."""
    view = front_view(front.rim.outline)
    strokes = [line(front.place(0, -2), front.place(0, front.border(0) + 5), CENTRE)]
    for canine in (view.canine_right, view.canine_left):
        x = float(canine[0][0])
        strokes.append(line(front.place(x, -2), front.place(x, front.border(x) + 1.5), CENTRE))
    return Group(strokes=tuple(strokes))


def _heights(front: Front, picture: float) -> list[Group]:
    side, beside = front.half + 4, -BESIDE_FRENUM - 1.5
    step = LABEL_WIDTH + GAP
    found = (
        _height(front, "posterior_height_right", -side, picture, left=0.0),
        _height(front, "anterior_height", beside, picture, left=step),
        _height(front, "posterior_height_left", side, picture, left=2 * step),
    )
    return [group for group in found if group]


def _height(front: Front, name: str, x: float, picture: float, *, left: float) -> Group | None:
    """One height: inside the picture where it is the front's, else beside it with lines drawn out to it."""
    label = front.rim.label(name)
    if label is None:
        return None
    outside = abs(x) > front.half
    height = front.border(min(max(x, -front.half), front.half))
    start, end = front.place(x, 0), front.place(x, height)
    at = (start[0], (start[1] + end[1]) / 2)
    marks = list(dimension_line(start, end))
    if outside:
        edge, beyond = math.copysign(front.half, x), math.copysign(1, x)
        marks += [line(front.place(edge, z), front.place(x + beyond, z), FINE) for z in (0, height)]
    knee = at[0] + math.copysign(2.5, x)
    leader = ((knee, picture), (knee, at[1]), at) if outside else ((at[0] + 3, picture), at)
    return label.placed(left, picture + 0.5, leader=leader, marks=marks)
