"""The rim from above and the tooth-outline strip, alone and at true size: to lay the work on, or on the work."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext_lazy as _

from labcases.prosthodontics.outline import RimOutline, on_paper
from labcases.prosthodontics.strip import Strip
from labcases.prosthodontics.teeth import to_universal
from labcases.tickets.drawing.labels import tag
from labcases.tickets.drawing.marks import (
    CENTRE,
    EDGE,
    FINE,
    HIDDEN,
    Drawing,
    Group,
    Pen,
    Point,
    Stroke,
    View,
    line,
    path,
)

RIM_NAME, STRIP_NAME = _("Rim from above"), _("Tooth-outline strip")
FRONT, SIDES, BEHIND = 7.0, 11.0, 6.0
OVER_STRIP, UNDER_STRIP, BESIDE_STRIP = 6.0, 6.0, 15.0
CUT_MARK, CUT_GAP = 3.0, 0.8
LONG_BAR, SHORT_BAR = 100, 50
BARS_WIDTH = LONG_BAR + 34.0
CUT = Pen("cut", 0.35)
FOLD = Pen("fold", 0.2, "1.6 1.2")
LIP = Pen("lip", 0.3, "0.4 1")
WIDTHS_SHOWN = ("molar_right", "premolar_right", "front_right", "front_left", "premolar_left", "molar_left")


@dataclass(frozen=True)
class _Frame:
    """From the rim's own frame to paper, mm: the patient's right on the left."""

    outline: RimOutline
    left: float
    top: float

    @classmethod
    def of(cls, outline: RimOutline) -> tuple["_Frame", float, float]:
        """The frame with the width and height that the rim and everything around it take."""
        points = on_paper(outline.ring, outline.plan.arch)
        low, high = points.min(axis=0), points.max(axis=0)
        upper = outline.plan.arch == "maxillary"
        above, below = (FRONT, BEHIND) if upper else (BEHIND, FRONT)
        frame = cls(outline, SIDES - float(low[0]), above - float(low[1]))
        return frame, float(high[0] - low[0]) + 2 * SIDES, float(high[1] - low[1]) + above + below

    def place(self, point: Iterable[float]) -> Point:
        x, y = on_paper(np.array(tuple(point)), self.outline.plan.arch)
        return self.left + float(x), self.top + float(y)

    def outwards(self, station: str, *, beyond: float, inside: float = 0.0) -> tuple[Point, Point]:
        """Across the rim at a station, from `inside` before its lingual edge to `beyond` its labial one."""
        at = self.outline.station(station)
        labial, lingual = np.array(at.labial), np.array(at.lingual)
        along = (labial - lingual) / at.width
        return self.place(lingual - inside * along), self.place(labial + beyond * along)


def rim_view(outline: RimOutline) -> View:
    """The occlusal outline with crest, papilla, midline, canine lines and width marks; 1 mm is 1 mm."""
    frame, width, height = _Frame.of(outline)
    ring = path([frame.place(point) for point in outline.ring[:-1]], closed=True, whole=True)
    crest = path([frame.place(point) for point in outline.frames.crest], whole=True)
    lines = Group(strokes=(Stroke(ring, EDGE), Stroke(crest, HIDDEN), *_landmarks(frame)))
    return View(str(RIM_NAME), 0, 0, width, height, (lines, *_widths(frame), *_names(frame)))


def _landmarks(frame: _Frame) -> list[Stroke]:
    strokes = [line(*frame.outwards("midline", beyond=4.5, inside=6.0), CENTRE)]
    for side in ("right", "left"):
        strokes.append(line(*frame.outwards(f"canine_{side}", beyond=3.5, inside=1.5), CENTRE))
    papilla = frame.outline.papilla
    if papilla is not None:
        x, y = papilla
        strokes.append(line(frame.place((x - 1.5, y)), frame.place((x + 1.5, y)), FINE))
        turns = np.linspace(0, 2 * np.pi, 37)[:-1]
        ring = [frame.place((x + 1.4 * np.cos(turn), y + 2.4 * np.sin(turn))) for turn in turns]
        strokes.append(Stroke(path(ring, closed=True), FINE))
    return strokes


def _widths(frame: _Frame) -> list[Group]:
    """A mark across the rim at each station, with its width beside it."""
    groups = []
    for name in WIDTHS_SHOWN:
        inner, outer = frame.outwards(name, beyond=0.0)
        x, y = frame.outwards(name, beyond=1.6)[1]
        anchor = "end" if name.endswith("right") else "start"
        width = f"{frame.outline.station(name).width:.1f}"
        words = tag(x, y + 1.2, width, anchor=anchor)
        groups.append(Group(strokes=(line(inner, outer, FINE),), words=words.words, boxes=words.boxes))
    return groups


def _names(frame: _Frame) -> list[Group]:
    upper = frame.outline.plan.arch == "maxillary"
    x, y = frame.outwards("midline", beyond=4.5)[1]
    groups = [tag(x + 1.2, y + (2.6 if upper else 0.2), str(_("Midline")), anchor="start")]
    for side, anchor in (("right", "end"), ("left", "start")):
        x, y = frame.outwards(f"canine_{side}", beyond=3.9)[1]
        groups.append(tag(x, y + (0.2 if upper else 2.4), "C", anchor=anchor, bold=True))
        x, y = frame.place(frame.outline.station(f"end_{side}").middle)
        groups.append(tag(x, y + (5 if upper else -2), side[0].upper(), bold=True))
    if frame.outline.papilla is not None:
        x, y = frame.place((frame.outline.papilla[0], frame.outline.papilla[1] - 12))
        groups.append(tag(x, y, str(_("Papilla"))))
    return groups


def strip_view(strip: Strip, arch: str, *, universal_first: bool = False) -> View:
    """The strip with its cutting line, fold lines, midline, canine lines, lip lines and front teeth; 1 mm is 1 mm.

    The ridge lies upwards for an upper strip and downwards for a lower one, as the strip lies on the wax.
    """
    turn = np.array([1.0, -1.0 if arch == "maxillary" else 1.0])
    ring = strip.outline * turn
    low, high = ring.min(axis=0), ring.max(axis=0)
    shift = np.array([BESIDE_STRIP, OVER_STRIP]) - low

    def drawn(points: np.ndarray, pen: Pen, *, closed: bool = False) -> Stroke:
        return Stroke(path(points * turn + shift, closed=closed, whole=True), pen)

    strokes = [drawn(strip.outline[:-1], CUT, closed=True)]
    strokes += [drawn(mark, FINE) for mark in _cut_marks(strip)]
    strokes += [drawn(fold, FOLD) for fold in strip.folds]
    strokes += [drawn(tooth.outline[:-1], FINE, closed=True) for tooth in strip.teeth]
    strokes += [drawn(lip, LIP) for lip in strip.lip_lines.values()]
    strokes += [drawn(mark, CENTRE) for mark in strip.marks.values()]
    ends = {name: mark[-1] * turn + shift for name, mark in strip.marks.items()}
    names = [tag(*_beyond(end, arch), _mark_name(name), bold=True) for name, end in ends.items()]
    names += [_lip_name(name, lip[-1] * turn + shift) for name, lip in strip.lip_lines.items()]
    teeth = [_number(strip, tooth, turn, shift, arch, universal_first) for tooth in strip.teeth]
    size = high - low
    height = float(size[1]) + OVER_STRIP + UNDER_STRIP
    groups = (Group(strokes=tuple(strokes)), *names, *teeth)
    return View(str(STRIP_NAME), 0, 0, float(size[0]) + 2 * BESIDE_STRIP, height, groups)


def _cut_marks(strip: Strip) -> list[np.ndarray]:
    """Two short lines at each corner that carry its edges on, a little off the cutting line."""
    low, high = strip.unrolled.along(0.0), strip.unrolled.along(strip.unrolled.face)
    edges = ((low[0], low[1]), (low[-1], low[-2]), (high[0], high[1]), (high[-1], high[-2]))
    sides = ((low[0], high[0]), (low[-1], high[-1]), (high[0], low[0]), (high[-1], low[-1]))
    return [_carried_on(corner, inner) for corner, inner in (*edges, *sides)]


def _carried_on(corner: np.ndarray, inner: np.ndarray) -> np.ndarray:
    away = (corner - inner) / np.hypot(*(corner - inner))
    return np.array([corner + CUT_GAP * away, corner + CUT_MARK * away])


def _lip_name(name: str, end: np.ndarray) -> Group:
    words = {"resting": "rest", "smiling": "smile"}[name]
    return tag(float(end[0]) + CUT_MARK + 0.8, float(end[1]) + 1.2, words, anchor="start")


def _beyond(end: np.ndarray, arch: str) -> Point:
    """Where a mark is named: past the strip, on the side of the ridge."""
    return float(end[0]), float(end[1]) + (-1.4 if arch == "maxillary" else 4.0)


def _mark_name(name: str) -> str:
    return "M" if name == "midline" else "C"


def _number(
    strip: Strip, tooth: object, turn: np.ndarray, shift: np.ndarray, arch: str, universal_first: bool
) -> Group:
    """The tooth's number past its edge, away from the ridge."""
    middle = np.array([(tooth.start + tooth.end) / 2])
    x, y = (strip.unrolled.place(middle, np.array([0.0])) * turn + shift)[0]
    number = to_universal(tooth.number) if universal_first else tooth.number
    return tag(float(x), float(y) + (4.2 if arch == "maxillary" else -1.6), str(number))


def bars_view() -> View:
    """A bar of 100 mm across and one of 50 mm down the sheet: a printer may stretch one way only."""
    across, down = (0.0, 9.0), (LONG_BAR + 14.0, 1.0)
    strokes = [line(across, (LONG_BAR, across[1]), EDGE)]
    strokes += [line((x, 9 - (3 if x % 50 == 0 else 1.6)), (x, 9), FINE) for x in range(0, LONG_BAR + 1, 10)]
    bottom = down[1] + SHORT_BAR
    strokes.append(line(down, (down[0], bottom), EDGE))
    strokes += [
        line((down[0], down[1] + y), (down[0] + (3 if y % 50 == 0 else 1.6), down[1] + y), FINE)
        for y in range(0, SHORT_BAR + 1, 10)
    ]
    named = (
        tag(LONG_BAR / 2, 4.2, f"{LONG_BAR} mm"),
        tag(down[0] + 4, down[1] + SHORT_BAR / 2 + 1.2, f"{SHORT_BAR} mm", anchor="start"),
    )
    return View("", 0, 0, BARS_WIDTH, bottom + 1.5, (Group(strokes=tuple(strokes)), *named))


def as_drawing(view: View, *, title: str, description: str) -> Drawing:
    """One view as a drawing of its own, as wide and high as it is."""
    return Drawing(round(view.width, 3), round(view.height, 3), title, description, (view,))
