"""The record base: from above with its seal and reliefs, and cut at the midline with its thicknesses."""

from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _
from shapely import unary_union
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from labcases.tickets.drawing.crests import crest_for
from labcases.tickets.drawing.cross_cut import (
    CREST,
    FOOT,
    LEFT,
    SCALE,
    SULCUS,
    WIDTH,
    CrossCut,
    along,
    ridge,
    skin,
    through,
    tissue,
)
from labcases.tickets.drawing.facts import DrawingFacts
from labcases.tickets.drawing.hatching import edges, hatched, largest
from labcases.tickets.drawing.labels import LABEL_WIDTH, Label, tag
from labcases.tickets.drawing.marks import EDGE, FINE, HIDDEN, Group, Stroke, View, dimension_line, path
from labcases.tickets.drawing.seat import MIDDLE, Seat, vibrating_line
from labcases.tickets.drawing.seat import WIDTH as SEAT_WIDTH

# What is drawn where a specification has no figure, mm (common practice and memory, no source).
USUAL = {
    "base_thickness_crest": 1.0,
    "base_thickness_palate": 2.0,
    "base_thickness_lingual": 2.0,
    "border_roll_thickness": 2.5,
    "posterior_seal_width_midline": 2.0,
    "posterior_seal_width_lateral": 5.0,
}
MOST = {
    "base_thickness_crest": 3.0,
    "base_thickness_palate": 4.0,
    "base_thickness_lingual": 4.0,
    "border_roll_thickness": 5.0,
    "posterior_seal_width_midline": 8.0,
    "posterior_seal_width_lateral": 10.0,
}
GAP = 1.6
LATERAL = 0.55  # where the seal is widest, as a part of the half width


@dataclass(frozen=True)
class Base:
    facts: DrawingFacts

    @property
    def is_upper(self) -> bool:
        return self.facts.arch == "maxillary"

    @property
    def second(self) -> str:
        """The other thickness of this arch's base: in the palate above, of the lingual flange below."""
        return "base_thickness_palate" if self.is_upper else "base_thickness_lingual"

    def size(self, name: str) -> float:
        return min(max(self.facts.size(name, otherwise=USUAL[name]), 0.3), MOST[name])

    def label(self, name: str) -> Label | None:
        dimension = self.facts.dimensions.get(name)
        return Label(dimension) if dimension else None


def base_views(facts: DrawingFacts) -> tuple[list[View], tuple[str, ...]]:
    return [base_from_above(facts), base_cut(facts)], (crest_for(facts).words,)


def base_from_above(facts: DrawingFacts) -> View:
    base, crest = Base(facts), crest_for(facts)
    seat = Seat(crest, base.is_upper, 2.0)
    groups = seat.outline(relieved=True)
    if base.is_upper:
        groups += [_window(seat), *_seal(base, seat)]
    height = max([seat.bottom + 2.0, *(each.bottom for group in groups for each in group.boxes)])
    return View(_("From above"), 0, 0, SEAT_WIDTH, height, tuple(groups))


def _window(seat: Seat) -> Group:
    """The window over the papilla, where the laboratory uses one."""
    y = seat.crest.form.y(0.0) - 3
    turns = np.linspace(0, 2 * np.pi, 37)[:-1]
    ring = [seat.place(2.2 * np.cos(a), y + 3.2 * np.sin(a)) for a in turns]
    words = tag(*seat.place(3.4, y - 1.2), _("Papilla"), anchor="start")
    return Group(strokes=(Stroke(path(ring, closed=True), HIDDEN),), words=words.words, boxes=words.boxes)


def _seal_width(base: Base, seat: Seat, x: float) -> float:
    """Narrow in the midline, widest in the lateral thirds, running out past the notches."""
    half = seat.crest.form.half_width("left")
    widths = [base.size("posterior_seal_width_midline"), base.size("posterior_seal_width_lateral"), 0.8]
    return float(np.interp(abs(x), [0, LATERAL * half, half], widths))


def _seal(base: Base, seat: Seat) -> list[Group]:
    half = seat.crest.form.half_width("left")
    across = np.linspace(-half, half, 61)
    edge = [(x, vibrating_line(seat.crest, x) + _seal_width(base, seat, x)) for x in across]
    ring = [
        seat.place(*point) for point in (*edge, *((x, vibrating_line(seat.crest, x)) for x in across[::-1]))
    ]
    area = Polygon(ring).buffer(0)
    shape = Group(strokes=(hatched(area, spacing=1.2, angle=45), Stroke(path(ring, closed=True), FINE)))
    return [shape, *_lateral(base, seat), *_midline(base, seat)]


def _lateral(base: Base, seat: Seat) -> list[Group]:
    """Width and depth in the patient's right lateral third."""
    x = -LATERAL * seat.crest.form.half_width("left")
    back, front = (
        seat.place(x, vibrating_line(seat.crest, x)),
        seat.place(x, vibrating_line(seat.crest, x) + _seal_width(base, seat, x)),
    )
    groups, top = [], seat.top + 16.0
    width, depth = base.label("posterior_seal_width_lateral"), base.label("posterior_seal_depth")
    if width:
        way = ((width.reach + 1, top + 2.6), (LABEL_WIDTH + 4, top + 2.6), front)
        groups.append(width.placed(0, top, leader=way, marks=dimension_line(back, front)))
        top += width.height + 3
    if depth:
        at = ((back[0] + front[0]) / 2 - 4, (back[1] + front[1]) / 2)
        way = ((depth.reach + 1, top + 2.6), (LABEL_WIDTH, top + 2.6), at)
        groups.append(depth.placed(0, top, leader=way))
    return groups


def _midline(base: Base, seat: Seat) -> list[Group]:
    """Width and depth in the midline, labelled behind the base."""
    back, front = (
        seat.place(0, vibrating_line(seat.crest, 0)),
        seat.place(0, vibrating_line(seat.crest, 0) + _seal_width(base, seat, 0)),
    )
    groups, top = [], back[1] + 7.0
    width, depth = base.label("posterior_seal_width_midline"), base.label("posterior_seal_depth_midline")
    if width:
        left = MIDDLE - LABEL_WIDTH - 1
        way = ((left + 20, top - 0.4), (back[0], back[1] + 4))
        groups.append(width.placed(left, top, leader=way, marks=dimension_line(back, front)))
    if depth:
        left = min(MIDDLE + 3, SEAT_WIDTH - LABEL_WIDTH)
        at = (back[0] + 3, (back[1] + front[1]) / 2)
        groups.append(depth.placed(left, top, leader=((left + 6, top - 0.4), at)))
    return groups


def base_cut(facts: DrawingFacts) -> View:
    base = Base(facts)
    thick = max(base.size("base_thickness_crest"), base.size(base.second))
    level = SCALE * SULCUS + 3.0
    column = level + SCALE * thick + 3.0
    below = [base.label(name) for name in ("base_thickness_crest", base.second)]
    height = column + max([label.height for label in below if label], default=0.0) + 1.0
    cut = CrossCut(base.is_upper, level, height)
    groups = [_body(base, cut), *_roll(base, cut), *_thicknesses(base, cut, column)]
    return View(_("Cut at the midline, twice full size"), 0, 0, WIDTH, height, tuple(groups))


def _thickness_at(base: Base, u: float) -> float:
    """Thin over the crest and the labial slope, thicker behind."""
    known = [base.size("base_thickness_crest"), base.size(base.second)]
    return float(np.interp(u, [CREST + 1.5, CREST + (6 if base.is_upper else 4)], known))


def _body(base: Base, cut: CrossCut) -> Group:
    surface = ridge(upper=base.is_upper)
    outer = along(surface, lambda point: _thickness_at(base, point[0]))
    body = Polygon([*surface, *outer[::-1]]).buffer(0)
    roll = base.size("border_roll_thickness")
    rolls = [(FOOT + 0.3 - roll / 2, SULCUS - roll / 2)]
    if not base.is_upper:
        rolls.append((surface[-1][0] + roll / 2 - 0.4, surface[-1][1] - roll / 2))
    # A border runs into its roll without a step.
    body = (
        body.union(unary_union([Spot(*place).buffer(roll / 2) for place in rolls])).buffer(0.8).buffer(-0.8)
    )
    body = cut.placed(largest(body.difference(tissue(surface))))
    strokes = (
        hatched(body, spacing=0.9, angle=-45),
        *edges(body, EDGE),
        skin(cut, surface),
    )
    return Group(strokes=strokes)


def _roll(base: Base, cut: CrossCut) -> list[Group]:
    label, roll = base.label("border_roll_thickness"), base.size("border_roll_thickness")
    z = SULCUS - roll / 2
    a, b = cut.place(FOOT + 0.3 - roll, z), cut.place(FOOT + 0.3, z)
    at = (LEFT + SCALE * (FOOT + 0.3 - roll) - 3.2, cut.level - SCALE * z)
    way = ((label.reach + 1 if label else 0, at[1]), at)
    return cut.labelled(label, 0, 0, way=way, marks=dimension_line(a, b))


def _thicknesses(base: Base, cut: CrossCut, top: float) -> list[Group]:
    surface = ridge(upper=base.is_upper)
    groups: list[Group] = []
    behind = CREST + (10.0 if base.is_upper else 4.6)
    for name, u, x in (
        ("base_thickness_crest", CREST, LEFT - 10),
        (base.second, behind, WIDTH - LABEL_WIDTH),
    ):
        label = base.label(name)
        if label is None:
            continue
        thickness = base.size(name)
        at, marks = through(cut, surface, u=u, inner=0.0, outer=thickness)
        groups += cut.labelled(label, x, top, way=((x + 6, top - 0.6), cut.turned(at)), marks=marks)
    return groups
