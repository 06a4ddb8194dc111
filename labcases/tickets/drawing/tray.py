"""The custom tray: from above with stops and handle, and cut at the midline with spacer, thickness and border."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from shapely.geometry import Polygon, box

from labcases.tickets.drawing.crests import crest_for
from labcases.tickets.drawing.cross_cut import (
    CREST,
    CUT_OFF,
    FOOT,
    LEFT,
    SCALE,
    SULCUS,
    WIDTH,
    CrossCut,
    ridge,
    skin,
    through,
    tissue,
)
from labcases.tickets.drawing.facts import DrawingFacts
from labcases.tickets.drawing.hatching import edges, hatched, largest
from labcases.tickets.drawing.labels import LABEL_WIDTH, Label
from labcases.tickets.drawing.marks import EDGE, FINE, Group, Point, Stroke, View, dimension_line, line, path
from labcases.tickets.drawing.seat import WIDTH as SEAT_WIDTH
from labcases.tickets.drawing.seat import Seat, rest, square

# What is drawn where a specification has no figure, mm (common practice, no source).
USUAL = {
    "spacer_thickness": 2.0,
    "stop_count": 3.0,
    "stop_size": 4.0,
    "border_short_of_sulcus": 2.0,
    "tray_thickness": 2.5,
    "handle_height": 11.0,
    "handle_width": 12.0,
    "handle_thickness": 3.5,
    "finger_rest_height": 9.0,
}
# As far as the lines have room; the labels always show the figure itself.
MOST = {
    "spacer_thickness": 4.0,
    "stop_count": 8.0,
    "stop_size": 7.0,
    "border_short_of_sulcus": 6.0,
    "tray_thickness": 4.0,
    "handle_height": 16.0,
    "handle_width": 24.0,
    "handle_thickness": 6.0,
    "finger_rest_height": 16.0,
}
HANDLE_FORWARD = 8.0
SPACER_SHORT_OF_BORDER = 2.0
GAP = 1.6


@dataclass(frozen=True)
class Tray:
    facts: DrawingFacts

    @property
    def is_upper(self) -> bool:
        return self.facts.arch == "maxillary"

    def size(self, name: str) -> float:
        return min(max(self.facts.size(name, otherwise=USUAL[name]), 0.0), MOST[name])

    def label(self, name: str) -> Label | None:
        dimension = self.facts.dimensions.get(name)
        return Label(dimension) if dimension else None

    @property
    def has_stops(self) -> bool:
        return self.facts.has_figure("stop_count")


def tray_from_above(facts: DrawingFacts) -> View:
    tray, crest = Tray(facts), crest_for(facts)
    handle = HANDLE_FORWARD + 4.0
    seat = Seat(crest, tray.is_upper, handle if tray.is_upper else 2.0)
    picture = seat.bottom + (2.0 if tray.is_upper else handle)
    groups = [*seat.outline(), *_labels(tray, seat)]
    height = max(picture, *(box.bottom for group in groups for box in group.boxes))
    return View(_("From above"), 0, 0, SEAT_WIDTH, height, tuple(groups))


def _labels(tray: Tray, seat: Seat) -> list[Group]:
    """The column on the left: the handle where the front is, the stops before or after it."""
    if seat.upper:
        handle, bottom = _handle_from_above(tray, seat, 0.0)
        stops, _ = _stops(tray, seat, max(seat.top + 6.0, bottom + 3))
    else:
        stops, bottom = _stops(tray, seat, seat.top + 4.0)
        rests, bottom = _rests(tray, seat, bottom)
        handle, _ = _handle_from_above(tray, seat, max(seat.bottom - 4.0, bottom))
        stops += rests
    return [*handle, *stops]


def _handle_from_above(tray: Tray, seat: Seat, top: float) -> tuple[list[Group], float]:
    """The handle and its width, labelled at `top`; and where that label ends."""
    half, crest = tray.size("handle_width") / 2, seat.crest.form.y(0.0)
    front = crest + 5.5 + HANDLE_FORWARD
    corners = [(-half, crest - 1.5), (half, crest - 1.5), (half, front), (-half, front)]
    outline = Group(strokes=(Stroke(path([seat.place(*corner) for corner in corners], closed=True), EDGE),))
    label = tray.label("handle_width")
    if label is None:
        return [outline], top
    a, b = seat.place(-half, front - 2), seat.place(half, front - 2)
    leader = ((label.reach + 1, top + 2.6), (LABEL_WIDTH + 2, top + 2.6), a)
    return [outline, label.placed(0, top, leader=leader, marks=dimension_line(a, b))], top + label.height


def _stop_places(tray: Tray, seat: Seat) -> list[Point]:
    """At the canines and in the palate for three above, else evenly over the crest."""
    count = round(tray.size("stop_count"))
    if tray.is_upper and count == 3:
        return [
            seat.place(*seat.beside(-0.32, 0)),
            seat.place(*seat.beside(0.32, 0)),
            seat.place(0, 0.35 * seat.front),
        ]
    parts = [0.0] if count == 1 else [-0.7 + 1.4 * k / (count - 1) for k in range(count)]
    return [seat.place(*seat.beside(part, 0)) for part in parts]


def _stops(tray: Tray, seat: Seat, top: float) -> tuple[list[Group], float]:
    """The stops, their number and size labelled from `top` on; and where the next label may stand."""
    side = tray.size("stop_size")
    places = _stop_places(tray, seat) if tray.has_stops and tray.size("stop_count") >= 1 else []
    groups = [Group(strokes=tuple(square(place, side) for place in places))]
    for name, which in (("stop_count", 0), ("stop_size", -1 if tray.is_upper else 0)):
        label = tray.label(name)
        if label is None:
            continue
        leader: tuple[Point, ...] = ()
        if places:
            x, y = places[which]
            leader = ((label.reach + 1, top + 2.6), (LABEL_WIDTH + 1.5, top + 2.6), (x - side / 2, y))
        groups.append(label.placed(0, top, leader=leader))
        top += label.height + 3
    return groups, top


def _rests(tray: Tray, seat: Seat, top: float) -> tuple[list[Group], float]:
    """The finger rests, labelled from `top` on; and where the next label may stand."""
    label = tray.label("finger_rest_height")
    if label is None:
        return [], top
    ovals = tuple(rest(seat, part) for part in (-0.42, 0.42))
    x, y = seat.place(*seat.beside(-0.42, 0.0))
    leader = ((label.reach + 1, top + 2.6), (LABEL_WIDTH + 1.5, top + 2.6), (x - 3, y))
    return [label.placed(0, top, leader=leader, marks=ovals)], top + label.height + 3


def tray_cut(facts: DrawingFacts) -> View:
    tray = Tray(facts)
    reach = tray.size("spacer_thickness") + tray.size("tray_thickness")
    level = SCALE * SULCUS + 2.0
    deep = level + SCALE * (reach + tray.size("handle_height"))
    height = max(
        deep + 2.0,
        _column_top(tray, level) + _column_height(tray),
        _handle_label_top(tray, deep) + _label_height(tray, "handle_thickness"),
    )
    cut = CrossCut(tray.is_upper, level, height)
    groups = [_layers(tray, cut), *_border(tray, cut), *_thicknesses(tray, cut), *_handle(tray, cut, deep)]
    return View(_("Cut at the midline, twice full size"), 0, 0, WIDTH, height, tuple(groups))


def _label_height(tray: Tray, name: str) -> float:
    label = tray.label(name)
    return label.height if label else 0.0


def _handle_label_top(tray: Tray, deep: float) -> float:
    """Above the handle's forward part, or under the label of the border where the handle is short."""
    above = deep - SCALE * tray.size("handle_thickness") - _label_height(tray, "handle_thickness") - 1
    return max(above, _label_height(tray, "border_short_of_sulcus") + GAP)


def _column_top(tray: Tray, level: float) -> float:
    return level + SCALE * (tray.size("spacer_thickness") + tray.size("tray_thickness")) * 0.6 + 1.0


def _column_height(tray: Tray) -> float:
    return sum(
        _label_height(tray, name) + GAP for name in ("tray_thickness", "spacer_thickness", "handle_height")
    )


def _kept(tray: Tray, shape, *, short: float):
    """A layer without what would stand in the sulcus: in front, and below behind too."""
    top = SULCUS - short
    keep = box(-20, -40, CUT_OFF if tray.is_upper else 40, top)
    if tray.is_upper:
        keep = keep.union(box(CREST + 3, -40, CUT_OFF, SULCUS + 5))
    return largest(shape.intersection(keep))


def _layers(tray: Tray, cut: CrossCut) -> Group:
    surface = ridge(upper=tray.is_upper)
    flesh = tissue(surface)
    spacer, wall = tray.size("spacer_thickness"), tray.size("tray_thickness")
    short = tray.size("border_short_of_sulcus")
    body = _kept(
        tray, flesh.buffer(spacer + wall).difference(flesh.buffer(spacer) if spacer else flesh), short=short
    )
    whole = largest(body.union(_handle_shape(tray)))
    strokes = [
        hatched(cut.placed(whole), spacing=1.6, angle=45),
        *edges(cut.placed(whole), EDGE),
        skin(cut, surface),
    ]
    if spacer > 0.05:
        wax = _kept(tray, flesh.buffer(spacer).difference(flesh), short=short + SPACER_SHORT_OF_BORDER)
        strokes += [
            hatched(cut.placed(wax), spacing=0.9, angle=-45),
            *edges(cut.placed(wax), FINE),
        ]
    return Group(strokes=tuple(strokes))


def _handle_shape(tray: Tray) -> Polygon:
    """Up from the crest, then forward, clear of the lip."""
    half, thick = tray.size("handle_thickness") / 2, tray.size("handle_thickness")
    start = -tray.size("spacer_thickness") - tray.size("tray_thickness") * 0.5
    end = -tray.size("spacer_thickness") - tray.size("tray_thickness") - tray.size("handle_height")
    right, left = CREST + half, CREST - half
    return Polygon(
        [
            (right, start),
            (right, end),
            (left - HANDLE_FORWARD, end),
            (left - HANDLE_FORWARD, end + thick),
            (left, end + thick),
            (left, start),
        ]
    )


def _border(tray: Tray, cut: CrossCut) -> list[Group]:
    """From the tray's border to the deepest line of the sulcus."""
    label, short = tray.label("border_short_of_sulcus"), tray.size("border_short_of_sulcus")
    if label is None:
        return []
    u = FOOT - tray.size("spacer_thickness") - tray.size("tray_thickness") - 1.5
    a, b = cut.place(u, SULCUS - short), cut.place(u, SULCUS)
    marks = [*dimension_line(a, b)]
    for z, end in ((SULCUS, FOOT + 0.5), (SULCUS - short, u + 1.6)):
        marks.append(line(cut.place(u - 0.6, z), cut.place(end, z), FINE))
    level = cut.level - SCALE * (SULCUS - short / 2)
    x = LEFT + SCALE * u
    return cut.labelled(label, 0, 0, way=((label.reach + 1, 5.0), (x - 1.5, 5.0), (x, level)), marks=marks)


def _thicknesses(tray: Tray, cut: CrossCut) -> list[Group]:
    """Tray and spacer behind the crest, labelled in the room beside the handle."""
    surface, spacer = ridge(upper=tray.is_upper), tray.size("spacer_thickness")
    x, top = WIDTH - LABEL_WIDTH, _column_top(tray, cut.level)
    groups: list[Group] = []
    layers = (
        ("tray_thickness", 12.2, spacer, spacer + tray.size("tray_thickness")),
        ("spacer_thickness", 9.8, 0.0, spacer),
    )
    for name, u, inner, outer in layers:
        label = tray.label(name)
        if label is None:
            continue
        at, marks = through(cut, surface, u=u if tray.is_upper else u - 2.0, inner=inner, outer=outer)
        level = top + 2.6
        way = ((x - 0.8, level), cut.turned(at))
        groups += cut.labelled(label, x, top, way=way, marks=marks)
        top += label.height + GAP
    label = tray.label("handle_height")
    if label:
        groups += _handle_height(tray, cut, label, x, top)
    return groups


def _handle_height(tray: Tray, cut: CrossCut, label: Label, x: float, top: float) -> list[Group]:
    start = -tray.size("spacer_thickness") - tray.size("tray_thickness")
    u = CREST + tray.size("handle_thickness") / 2 + 1.2
    a, b = cut.place(u, start), cut.place(u, start - tray.size("handle_height"))
    marks = (
        *dimension_line(a, b),
        line(cut.place(CREST, start), cut.place(u + 0.5, start), FINE),
        line(
            cut.place(CREST, start - tray.size("handle_height")),
            cut.place(u + 0.5, start - tray.size("handle_height")),
            FINE,
        ),
    )
    middle = cut.turned(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2 + (4 if cut.upper else -4)))
    return cut.labelled(label, x, top, way=((x - 0.8, top + 2.6), middle), marks=marks)


def _handle(tray: Tray, cut: CrossCut, deep: float) -> list[Group]:
    label = tray.label("handle_thickness")
    if label is None:
        return []
    thick = tray.size("handle_thickness")
    end = -tray.size("spacer_thickness") - tray.size("tray_thickness") - tray.size("handle_height")
    u = CREST - thick / 2 - HANDLE_FORWARD + 2.0
    a, b = cut.place(u, end), cut.place(u, end + thick)
    top = _handle_label_top(tray, deep)
    at = cut.turned(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))
    return cut.labelled(
        label,
        0,
        top,
        way=((label.reach + 1, top + 2.6), (LABEL_WIDTH + 0.5, top + 2.6), at),
        marks=dimension_line(a, b),
    )


def tray_views(facts: DrawingFacts) -> tuple[list[View], tuple[str, ...]]:
    return [tray_from_above(facts), tray_cut(facts)], (crest_for(facts).words,)
