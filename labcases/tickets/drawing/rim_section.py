"""The rim cut at the midline, and its sloped end beyond a break: inclination, length along the face, slope."""

import math
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _
from shapely.affinity import affine_transform
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from labcases.tickets.drawing.hatching import edges, hatched, largest, polygons
from labcases.tickets.drawing.labels import LABEL_WIDTH
from labcases.tickets.drawing.marks import (
    CENTRE,
    EDGE,
    FINE,
    HIDDEN,
    MEASURE,
    Group,
    Point,
    Stroke,
    View,
    arc,
    arrow_head,
    dimension_line,
    line,
    path,
)
from labcases.tickets.drawing.ridges import bezier, ridge_at_midline, tissue_behind
from labcases.tickets.drawing.rim import Rim

NAME = _("Cut at the midline, and the left end")
WIDTH = 83.0
FACE = LABEL_WIDTH + 11.0  # where the labial edge stands on the paper
FRONT_PART, BREAK, END_PART = 16.0, 2.5, 7.0
END = FRONT_PART + BREAK + END_PART  # where the occlusal surface ends, behind the labial edge
LONGEST_SLOPE = WIDTH - FACE - END - 5.0
BASE = 1.6  # thickness of the record base as it is drawn
ARC, END_ARC = 7.0, 6.0
BESIDE_FACE = 2.5
BESIDE_PLANE = 5.0


@dataclass(frozen=True)
class Cut:
    """The frame of the cut: u backwards from the labial edge, z from the occlusal plane towards the ridge, mm."""

    rim: Rim
    plane: float

    @property
    def upper(self) -> bool:
        return self.rim.is_upper

    @property
    def down(self) -> int:
        """Which way the ridge lies on the paper, as the sign of a turn from straight back."""
        return -1 if self.upper else 1

    @property
    def sulcus(self) -> float:
        return self.rim.drawn["anterior_height"]

    @property
    def inclination(self) -> float:
        return self.rim.outline.plan.labial_inclination

    @property
    def foot(self) -> float:
        """How far the labial face stands back at the level of the sulcus."""
        return self.sulcus * math.tan(math.radians(self.inclination - 90))

    @property
    def bottom(self) -> float:
        """Lower end of the picture on the paper."""
        return self.plane + (3.0 if self.upper else self.sulcus + 1.0)

    def place(self, u: float, z: float) -> Point:
        return FACE + u, self.plane + self.down * z

    def placed(self, shape: BaseGeometry) -> BaseGeometry:
        return affine_transform(shape, [1, 0, 0, self.down, FACE, self.plane])


def rim_cut(rim: Rim) -> View:
    cut = Cut(rim, rim.drawn["anterior_height"] + 1.0 if rim.is_upper else BESIDE_PLANE)
    groups = [_front_part(cut), _end_part(cut), *_labels(cut)]
    bottom = max([cut.bottom, *(box.bottom for group in groups for box in group.boxes)])
    return View(str(NAME), 0, 0, WIDTH, bottom, tuple(groups))


def _surface(cut: Cut) -> list[Point]:
    """The tissue's surface under the rim, from the labial sulcus backwards."""
    plan = cut.rim.outline.plan
    apex = cut.rim.outline.station("midline").labial[1] - plan.crest.y(0.0)
    across = min(max(apex, cut.foot + 4.2), FRONT_PART - 4)
    crest = (across, min(plan.heights.anterior + BASE, cut.sulcus - 3))
    return ridge_at_midline(foot=cut.foot + BASE + 0.4, sulcus=cut.sulcus, crest=crest, upper=cut.upper)


def _front_part(cut: Cut) -> Group:
    """Wax and base where they are cut, hatched two ways."""
    surface, width = _surface(cut), cut.rim.outline.plan.anterior_width
    tissue = tissue_behind(surface, depth=cut.sulcus + 30)
    covered = tissue.buffer(BASE)
    room = Polygon([(0, 0), (cut.foot, cut.sulcus), (FRONT_PART, cut.sulcus), (FRONT_PART, 0)]).buffer(0)
    base = cut.placed(largest(room.intersection(covered).difference(tissue)))
    block = Polygon([(0, 0), (cut.foot, cut.sulcus), (max(width, cut.foot + 1), cut.sulcus), (width, 0)])
    wax = cut.placed(_at_the_plane(block.buffer(0).difference(covered)))
    return Group(
        strokes=(
            hatched(wax, spacing=1.6, angle=45),
            hatched(base, spacing=0.9, angle=-45),
            *edges(base, FINE),
            *edges(wax, EDGE),
            Stroke(path([cut.place(u, z) for u, z in surface if u <= FRONT_PART]), FINE),
            line(cut.place(width, 0), cut.place(FRONT_PART, 0), FINE),
            _break(cut, FRONT_PART),
        )
    )


def _at_the_plane(shape: BaseGeometry) -> Polygon:
    """The part of the wax that reaches the occlusal surface; empty where a rim is too low to have one."""
    parts = polygons(shape)
    return max(parts, key=lambda part: (-round(part.bounds[1], 2), part.area), default=Polygon())


def _break(cut: Cut, u: float) -> Stroke:
    """A zigzag that says: shortened here."""
    middle = cut.sulcus / 2
    zigzag = [
        (u, -1.5),
        (u, middle - 1.6),
        (u - 1.2, middle - 0.6),
        (u + 1.2, middle + 0.6),
        (u, middle + 1.6),
        (u, cut.sulcus),
    ]
    return Stroke(path([cut.place(*point) for point in zigzag]), FINE)


def _slope(cut: Cut) -> Point:
    """Run and rise of the sloped end on the patient's left, as far as there is room for it."""
    steepness = math.tan(math.radians(cut.rim.outline.plan.posterior_end_angle))
    run = min(cut.rim.outline.plan.heights.posterior_left / steepness, LONGEST_SLOPE)
    return run, run * steepness


def _end_part(cut: Cut) -> Group:
    run, rise = _slope(cut)
    start = END - END_PART
    strokes = [
        Stroke(path([cut.place(start, 0), cut.place(END, 0), cut.place(END + run, rise)]), EDGE),
        line(cut.place(start, rise), cut.place(END + run, rise), HIDDEN),
        line(cut.place(END, 0), cut.place(WIDTH - FACE, 0), CENTRE),
        _break(cut, start),
    ]
    if not cut.upper:
        strokes.append(_pad(cut, END + run))
    return Group(strokes=tuple(strokes))


def _pad(cut: Cut, u: float) -> Stroke:
    """The retromolar pad behind the rim, which the plane meets at the level that the laboratory works to."""
    foot = cut.rim.drawn["posterior_height_left"]
    top = foot - foot / cut.rim.facts.pad_level
    width = WIDTH - FACE - u - 0.3
    rising = bezier(
        [(u, foot), (u + 0.15 * width, top), (u + 0.5 * width, top), (u + 0.7 * width, top + 0.3)]
    )
    falling = bezier(
        [(u + 0.7 * width, top + 0.3), (u + width, top + 1), (u + width, foot), (u + width, foot)]
    )
    return Stroke(path([cut.place(*point) for point in (*rising, *falling)]), FINE)


def _labels(cut: Cut) -> list[Group]:
    """Two labels beside the labial face, two under the sloped end."""
    groups = [*_face_length(cut), *_inclination(cut)]
    under = cut.bottom + 0.5
    groups += _end_slope(cut, under)
    label = cut.rim.label("pad_level")
    if label:
        at = cut.place(WIDTH - FACE - 2.5, 0)
        below = max((box.bottom for group in groups[-1:] for box in group.boxes), default=under) + 1.6
        corner = (WIDTH - 0.2, below + 2.6)
        leader = ((WIDTH - LABEL_WIDTH + label.reach + 1, corner[1]), corner, (corner[0], at[1] + 3), at)
        groups.append(label.placed(WIDTH - LABEL_WIDTH, below, leader=leader))
    return groups


def _face_length(cut: Cut) -> list[Group]:
    label = cut.rim.label("anterior_face_length")
    if label is None:
        return []
    length = math.hypot(cut.foot, cut.sulcus)
    out = (-cut.sulcus / length * BESIDE_FACE, cut.foot / length * BESIDE_FACE)
    a, b = out, (cut.foot + out[0], cut.sulcus + out[1])
    at = cut.place(a[0] + 0.66 * (b[0] - a[0]), a[1] + 0.66 * (b[1] - a[1]))
    top = 0.0 if cut.upper else max(at[1] - label.height / 2, _height_of(cut, "labial_inclination") + 1.6)
    marks = (
        *dimension_line(cut.place(*a), cut.place(*b)),
        line(cut.place(0, 0), cut.place(*a), FINE),
        line(cut.place(cut.foot, cut.sulcus), cut.place(*b), FINE),
    )
    leader = _sideways(label.reach + 1, (top, top + label.height), at)
    return [label.placed(0, top, leader=leader, marks=marks)]


def _inclination(cut: Cut) -> list[Group]:
    """The angle in front of the rim, from the plane drawn on forwards to the labial face."""
    label = cut.rim.label("labial_inclination")
    if label is None:
        return []
    corner, turn = cut.place(0, 0), -cut.down * cut.inclination
    at = _round(corner, ARC, 180 + 0.3 * turn)
    last = math.radians(180 + turn)
    flying = (-math.copysign(math.sin(last), turn), math.copysign(math.cos(last), turn))
    if turn < 0:
        flying = (math.sin(last), -math.cos(last))
    marks = (
        arc(corner, ARC, 180, 180 + turn, MEASURE),
        arrow_head(_round(corner, ARC, 180 + turn), flying, length=1.4),
        line(corner, (corner[0] - ARC - 3, corner[1]), FINE),
    )
    if not cut.upper:
        leader = _sideways(label.reach + 1, (0, label.height), at)
        return [label.placed(0, 0, leader=leader, marks=marks)]
    top = max(cut.bottom + 0.5, _height_of(cut, "anterior_face_length") + 1.6)
    return [label.placed(0, top, leader=((label.reach + 1, top + 2.6), (at[0], top + 2.6), at), marks=marks)]


def _end_slope(cut: Cut, top: float) -> list[Group]:
    label = cut.rim.label("posterior_end_angle")
    if label is None:
        return []
    angle, corner = cut.rim.outline.plan.posterior_end_angle, cut.place(END, 0)
    at = _round(corner, END_ARC, cut.down * angle / 2)
    marks = (arc(corner, END_ARC, 0, cut.down * angle, MEASURE),)
    return [label.placed(WIDTH - LABEL_WIDTH, top, leader=((at[0], top - 0.4), at), marks=marks)]


def _height_of(cut: Cut, name: str) -> float:
    label = cut.rim.label(name)
    return label.height if label else 0.0


def _sideways(start: float, rows: tuple[float, float], at: Point) -> tuple[Point, ...]:
    """A leader from a label on the left: level with the point where the label reaches as high, else with a knee."""
    if rows[0] + 2 <= at[1] <= rows[1]:
        return (start, at[1]), at
    y = min(max(at[1], rows[0] + 2.6), rows[1] - 1)
    return (start, y), (LABEL_WIDTH + 0.5, y), at


def _round(corner: Point, radius: float, degrees: float) -> Point:
    turn = math.radians(degrees)
    return corner[0] + radius * math.cos(turn), corner[1] + radius * math.sin(turn)
