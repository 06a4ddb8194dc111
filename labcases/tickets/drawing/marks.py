"""The few things that a drawing is made of. Everything is in millimetres on the paper, y downwards."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from shapely import LineString

from labcases.tickets.drawing.lettering import BODY, text_width

Point = tuple[float, float]
# A curve of more corners is drawn with those that it needs; a printer's dot is eight times as wide as a hair here.
FEW, HAIR = 12, 0.01


@dataclass(frozen=True)
class Pen:
    """How a line looks: in black on paper, in the page's ink on a screen."""

    name: str
    width: float
    dash: str = ""
    fill: str = "none"
    stroke: str = "currentColor"


EDGE = Pen("edge", 0.5)
HIDDEN = Pen("hidden", 0.25, "1.2 0.9")
FINE = Pen("fine", 0.2)
HATCH = Pen("hatch", 0.13)
CENTRE = Pen("centre", 0.25, "4 1 0.8 1")
MEASURE = Pen("measure", 0.25)
ARROW = Pen("arrow", 0.0, fill="currentColor", stroke="none")
LEADER = Pen("leader", 0.18)
SOLID = Pen("solid", 0.1, fill="currentColor")
PAPER = Pen("paper", 0.4, fill="none")


@dataclass(frozen=True)
class Stroke:
    d: str
    pen: Pen


@dataclass(frozen=True)
class Words:
    """One line of text on its base line; `anchor` is start, middle or end."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    anchor: str = "start"
    unit: str = ""  # follows the text, in the size of the body

    @property
    def width(self) -> float:
        return text_width(self.text, self.size, bold=self.bold) + text_width(self.unit, BODY)

    @property
    def box(self) -> "Box":
        width = self.width
        left = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return Box(left, self.y - 0.8 * self.size, width, self.size)


@dataclass(frozen=True)
class Box:
    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def bottom(self) -> float:
        return self.y + self.height

    def moved(self, dx: float, dy: float) -> "Box":
        return replace(self, x=self.x + dx, y=self.y + dy)

    def overlaps(self, other: "Box") -> bool:
        return (
            self.x < other.right and other.x < self.right and self.y < other.bottom and other.y < self.bottom
        )

    def holds(self, other: "Box", *, slack: float = 1e-6) -> bool:
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


@dataclass(frozen=True)
class Group:
    """What belongs together: the marks and the label of one dimension, or with no name what all share."""

    strokes: tuple[Stroke, ...] = ()
    words: tuple[Words, ...] = ()
    dimension: str = ""
    boxes: tuple[Box, ...] = ()


@dataclass(frozen=True)
class View:
    """One view at its place on the drawing; everything in it is measured from its own top left corner."""

    name: str
    x: float
    y: float
    width: float
    height: float
    groups: tuple[Group, ...]

    def at(self, x: float, y: float) -> "View":
        return replace(self, x=x, y=y)

    @property
    def boxes(self) -> list[Box]:
        """Where words stand, on the drawing."""
        return [box.moved(self.x, self.y) for group in self.groups for box in group.boxes]


@dataclass(frozen=True)
class Drawing:
    """A whole drawing, to be printed `width` by `height` mm large."""

    width: float
    height: float
    title: str
    description: str
    views: tuple[View, ...]

    @property
    def boxes(self) -> list[Box]:
        return [box for view in self.views for box in view.boxes]


def _number(value: float) -> str:
    return f"{round(value, 3) + 0.0:g}"


def path(points: Iterable[Sequence[float]], *, closed: bool = False, whole: bool = False) -> str:
    """Path data of a polyline; of a curve the points that it needs to stay within a hair of itself.

    With `whole` all of them, to the thousandth: for what is laid on paper to be compared with it. Else in steps of a
    hundredth from point to point, which is half the text.
    """
    corners = [(float(x), float(y)) for x, y in points]
    end = "Z" if closed else ""
    if whole:
        return "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in corners) + end
    if len(corners) > FEW:
        corners = list(LineString(corners).simplify(HAIR, preserve_topology=False).coords)
    # Of rounded places, not rounded steps: those would add up along the line.
    places = [(round(x * 100), round(y * 100)) for x, y in corners]
    steps = [(x - a, y - b) for (a, b), (x, y) in pairwise(places)]
    start = f"M{_hundredths(places[0])}"
    return start + (f"l{' '.join(map(_hundredths, steps))}".replace(" -", "-") if steps else "") + end


def _hundredths(place: tuple[int, int]) -> str:
    x, y = (f"{part / 100:g}" for part in place)
    x, y = (text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text for text in (x, y))
    return f"{x} {y}"


def line(start: Point, end: Point, pen: Pen) -> Stroke:
    return Stroke(path([start, end]), pen)


def circle(centre: Point, radius: float, pen: Pen) -> Stroke:
    x, y = centre
    r = _number(radius)
    left, right = f"{_number(x - radius)} {_number(y)}", f"{_number(x + radius)} {_number(y)}"
    return Stroke(f"M{left}A{r} {r} 0 1 1 {right}A{r} {r} 0 1 1 {left}Z", pen)


def arc(centre: Point, radius: float, start: float, end: float, pen: Pen) -> Stroke:
    """Part of a circle between two directions in degrees, 0 to the right and 90 down."""
    steps = [math.radians(start + (end - start) * part / 24) for part in range(25)]
    return Stroke(
        path([(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in steps]), pen
    )


def arrow_head(tip: Point, direction: Point, *, length: float = 1.7) -> Stroke:
    """A slim filled head with its point at `tip`, flying in `direction`."""
    size = math.hypot(*direction)
    ux, uy = direction[0] / size, direction[1] / size
    back, half = (tip[0] - ux * length, tip[1] - uy * length), length * 0.2
    return Stroke(
        path(
            [tip, (back[0] - uy * half, back[1] + ux * half), (back[0] + uy * half, back[1] - ux * half)],
            closed=True,
        ),
        ARROW,
    )


def dimension_line(start: Point, end: Point) -> tuple[Stroke, ...]:
    """A measured distance: a line with a head at either end, or from outside where there is no room."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx, dy)
    if length < 1e-6:
        return ()
    if length >= 4.5:
        return (
            line(start, end, MEASURE),
            arrow_head(start, (-dx, -dy)),
            arrow_head(end, (dx, dy)),
        )
    ux, uy = dx / length * 4, dy / length * 4
    return (
        line((start[0] - ux, start[1] - uy), (end[0] + ux, end[1] + uy), MEASURE),
        arrow_head(start, (dx, dy)),
        arrow_head(end, (-dx, -dy)),
    )
