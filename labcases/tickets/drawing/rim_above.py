"""The occlusal table from above, at full size: the patient's right on the left of the paper, the front outwards."""

from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext_lazy as _

from labcases.tickets.drawing.labels import LABEL_WIDTH, Label, tag
from labcases.tickets.drawing.lettering import BODY, text_width
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

NAME = _("Occlusal table from above")
WIDTH = 101.0
PICTURE_LEFT = LABEL_WIDTH + 2
MIDDLE = (PICTURE_LEFT + WIDTH) / 2
MARGIN = 7.0  # in front of the labial face, for the ends of lines and their names
BEHIND = 5.5  # behind the posterior ends, for R and L


@dataclass(frozen=True)
class Plan:
    """The frame of the view: x to the patient's left, y forwards, mm. `front` and `back` are the rim's extremes."""

    rim: Rim
    front: float
    back: float
    top: float

    def place(self, point: tuple[float, float]) -> Point:
        x, y = float(point[0]), float(point[1])
        return MIDDLE + x, self.top + (self.front - y if self.rim.is_upper else y - self.back)

    @property
    def bottom(self) -> float:
        return self.top + self.front - self.back


def rim_from_above(rim: Rim) -> View:
    points = np.concatenate([rim.outline.labial, rim.outline.lingual])
    inner = rim.label("anterior_width")
    behind = BEHIND + (inner.height - 3 if inner else 0)
    front, back = float(points[:, 1].max()), float(points[:, 1].min())
    plan = Plan(rim, front, back, MARGIN if rim.is_upper else behind)
    height = plan.bottom + (behind if rim.is_upper else MARGIN)
    groups = [_outline(plan), _landmarks(plan), *_names(plan)]
    groups += [*_front_width(plan, height), *_molar_width(plan, height), *_offset(plan)]
    return View(str(NAME), 0, 0, WIDTH, height, tuple(groups))


def _outline(plan: Plan) -> Group:
    outline = plan.rim.outline
    crest = [plan.place(point) for point in outline.frames.crest]
    table = [plan.place(point) for point in outline.ring[:-1]]
    return Group(strokes=(Stroke(path(crest), HIDDEN), Stroke(path(table, closed=True), EDGE)))


def _landmarks(plan: Plan) -> Group:
    """Midline, canine lines and the papilla."""
    strokes = [line(plan.place((0, plan.front + 4.5)), plan.place((0, plan.front - 24)), CENTRE)]
    for side in ("right", "left"):
        strokes.append(line(_canine(plan, side, 3.5), _canine(plan, side, -1.5, inner=True), CENTRE))
    papilla = plan.rim.outline.papilla
    if papilla:
        turns = np.linspace(0, 2 * np.pi, 37)[:-1]
        ring = [plan.place((1.4 * np.cos(a), papilla[1] + 2.4 * np.sin(a))) for a in turns]
        strokes.append(Stroke(path(ring, closed=True), FINE))
    return Group(strokes=tuple(strokes))


def _canine(plan: Plan, side: str, beyond: float, *, inner: bool = False) -> Point:
    """A point on the canine line, `beyond` its labial or lingual end."""
    station = plan.rim.outline.station(f"canine_{side}")
    labial, lingual = np.array(station.labial), np.array(station.lingual)
    along = (labial - lingual) / np.hypot(*(labial - lingual))
    return plan.place(tuple((lingual if inner else labial) + beyond * along))


def _names(plan: Plan) -> list[Group]:
    upper = plan.rim.is_upper
    x, y = plan.place((0, plan.front + 4.5))
    names = [tag(x + 1.2, y + (2.6 if upper else 0), str(_("Midline")), anchor="start")]
    x, y = _canine(plan, "left", 3.5)
    x = max(x + 0.8, names[0].boxes[0].right + 1)
    canine = str(_("Canine"))
    room = max(13.2, text_width(canine, BODY) + 0.9)
    names.append(tag(min(x, WIDTH - room), y + (-0.4 if upper else 3), canine, anchor="start"))
    for side, letter, sign in (("right", "R", -1), ("left", "L", 1)):
        x, y = plan.place(plan.rim.outline.station(f"end_{side}").middle)
        beyond = max(sign * (x - MIDDLE), LABEL_WIDTH / 2 + 1.6)  # past the label that stands between them
        names.append(tag(MIDDLE + sign * beyond, y + (5 if upper else -2), letter, bold=True))
    papilla = plan.rim.outline.papilla
    if papilla:
        x, y = plan.place((1.2, papilla[1] - 13))
        names.append(tag(x, y, str(_("Papilla")), anchor="start"))
    return names


def _across(plan: Plan, station: str) -> tuple[Point, Point]:
    """The lingual and the labial edge of the occlusal surface at a station."""
    found = plan.rim.outline.station(station)
    return plan.place(found.lingual), plan.place(found.labial)


def _front_width(plan: Plan, height: float) -> list[Group]:
    """Labelled through the open back of the arch, where no line is crossed."""
    label = plan.rim.label("anterior_width")
    if label is None:
        return []
    inner, outer = _across(plan, "front_right")
    top = height - label.height if plan.rim.is_upper else 0.0
    near = top - 0.6 if plan.rim.is_upper else label.height + 0.6
    return [
        label.placed(
            MIDDLE - LABEL_WIDTH / 2,
            top,
            leader=((inner[0], near), inner),
            marks=dimension_line(inner, outer),
        )
    ]


def _molar_width(plan: Plan, height: float) -> list[Group]:
    label = plan.rim.label("posterior_width")
    if label is None:
        return []
    inner, outer = _across(plan, "molar_right")
    top = min(max(outer[1] - label.height / 2, _offset_room(plan)), height - label.height)
    return [
        label.placed(0, top, leader=((label.reach + 1, outer[1]), outer), marks=dimension_line(inner, outer))
    ]


def _offset_room(plan: Plan) -> float:
    label = _offset_label(plan)
    return label.height + 1.6 if label else 0.0


def _offset_label(plan: Plan) -> Label | None:
    return plan.rim.label("labial_offset") if plan.rim.outline.papilla else None


def _offset(plan: Plan) -> list[Group]:
    """From the papilla to the labial face: measured beside the midline, labelled past the front."""
    label, papilla = _offset_label(plan), plan.rim.outline.papilla
    if label is None or papilla is None:
        return []
    face = plan.rim.outline.station("midline").labial[1]
    start, end = plan.place((-2.6, papilla[1])), plan.place((-2.6, face))
    beyond = (end[0], end[1] - 3.2)
    marks = (
        *dimension_line(start, end),
        line(end, beyond, FINE),
        line(plan.place((0, papilla[1])), plan.place((-3.6, papilla[1])), FINE),
        line(plan.place((0, face)), plan.place((-3.6, face)), FINE),
    )
    return [label.placed(0, 0, leader=((label.reach + 1, beyond[1]), beyond), marks=marks)]
