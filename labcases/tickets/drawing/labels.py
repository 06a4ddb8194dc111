"""Labels: the name of a dimension, its target and limits, and what was measured, in a block of known size."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from labcases.prosthodontics import wording
from labcases.tickets.drawing.facts import DimensionFacts
from labcases.tickets.drawing.lettering import BODY, FIGURE, shortened, text_width, wrapped
from labcases.tickets.drawing.marks import LEADER, SOLID, Box, Group, Point, Stroke, Words, circle, path

LABEL_WIDTH = 31.0
BODY_LINE, FIGURE_LINE = 4.3, 5.7
MARK = 1.25  # half the width of a verdict's shape
MOST_LINES_OF_WORDING = 3

# Labels on a drawing have little room; the table beside it has the full names.
SHORT_NAMES = {
    "anterior_height": _("Anterior height"),
    "posterior_height_left": _("Height, left"),
    "posterior_height_right": _("Height, right"),
    "anterior_width": _("Front width"),
    "posterior_width": _("Molar width"),
    "labial_offset": _("Papilla to face"),
    "labial_inclination": _("Labial slope"),
    "anterior_face_length": _("Along the face"),
    "posterior_end_angle": _("End slope"),
    "pad_level": _("Level on pad"),
    "spacer_thickness": _("Spacer"),
    "stop_count": _("Tissue stops"),
    "stop_size": _("Stop, each side"),
    "border_short_of_sulcus": _("Short of sulcus"),
    "tray_thickness": pgettext_lazy("on a drawing", "Tray thickness"),
    "handle_height": _("Handle height"),
    "handle_width": _("Handle width"),
    "handle_thickness": _("Handle, thick"),
    "finger_rest_height": _("Finger rests"),
    "base_thickness_crest": _("Over the crest"),
    "base_thickness_palate": _("In the palate"),
    "base_thickness_lingual": _("Lingual flange"),
    "border_roll_thickness": _("Border roll"),
    "posterior_seal_depth": _("Deepest seal"),
    "posterior_seal_depth_midline": _("Midline depth"),
    "posterior_seal_width_midline": _("Midline width"),
    "posterior_seal_width_lateral": _("Lateral width"),
}
UNIT_SIGNS = {"mm": " mm", "deg": "°", "%": " %", "min": " min"}


@dataclass(frozen=True)
class Label:
    """A label before it has a place."""

    dimension: DimensionFacts

    @property
    def height(self) -> float:
        return self._block[1]

    @property
    def reach(self) -> float:
        """How far its longest line goes to the right."""
        return max(words.x + words.width for words in self._block[0])

    def placed(
        self, x: float, y: float, *, leader: Sequence[Point] = (), marks: Iterable[Stroke] = ()
    ) -> Group:
        """The label with its top left corner at (x, y), a leader to what it speaks of, and that dimension's marks."""
        lines, height = self._block
        words = tuple(Words(w.x + x, w.y + y, w.text, w.size, w.bold, unit=w.unit) for w in lines)
        strokes = [*marks, *self._verdict(x, y)]
        if leader:
            strokes += [Stroke(path(leader), LEADER), circle(leader[-1], 0.45, SOLID)]
        box = Box(x, y, LABEL_WIDTH, height)
        return Group(strokes=tuple(strokes), words=words, dimension=self.dimension.name, boxes=(box,))

    @cached_property
    def _block(self) -> tuple[list[Words], float]:
        """Its lines as they stand from a corner at (0, 0), and the height of them all."""
        name = str(SHORT_NAMES.get(self.dimension.name, self.dimension.label))
        rows = [(name, False), *self._before_measuring(), *self._measured()]
        words, y = [], 0.0
        for text, bold in rows:
            y += BODY_LINE if text else FIGURE_LINE
            words.append(self._line(y, text, bold) if text else self._figure(y))
        return words, y

    def _before_measuring(self) -> list[tuple[str, bool]]:
        """Target and limits, or a wording; the empty text stands for the large figure."""
        dimension = self.dimension
        if dimension.target is not None:
            return [("", True), (dimension.limits, False)] if dimension.limits else [("", True)]
        lines = wrapped(str(dimension.wording), BODY, width=LABEL_WIDTH)
        return (
            [(line, False) for line in lines]
            if 0 < len(lines) <= MOST_LINES_OF_WORDING
            else [(str(_("see the table")), False)]
        )

    def _measured(self) -> list[tuple[str, bool]]:
        measured, verdict = self.dimension.measured, str(wording.Words(self.dimension.verdict))
        if not measured:
            return []
        together = f"{measured} {verdict}".strip()
        fits = self._indent + text_width(together, BODY, bold=True) <= LABEL_WIDTH
        return [(together, True)] if fits else [(measured, True), (verdict, True)]

    def _line(self, y: float, text: str, bold: bool) -> Words:
        indent = self._indent if bold and text.startswith(self.dimension.measured) else 0.0
        text = shortened(text, BODY, width=LABEL_WIDTH - indent, bold=bold)
        return Words(indent, y - 1.0, text, BODY, bold)

    def _figure(self, y: float) -> Words:
        unit = UNIT_SIGNS.get(self.dimension.unit, "")
        if unit == "°":
            return Words(0, y - 1.1, f"{self.dimension.figure}°", FIGURE, True)
        return Words(0, y - 1.1, self.dimension.figure, FIGURE, True, unit=unit)

    @property
    def _indent(self) -> float:
        return 2 * MARK + 0.9 if self.dimension.verdict else 0.0

    def _verdict(self, x: float, y: float) -> list[Stroke]:
        lines, _ = self._block
        return [
            verdict_mark(self.dimension.verdict, (x + MARK, y + words.y - 1.25))
            for words in lines
            if self.dimension.verdict and words.x > 0
        ]


def verdict_mark(verdict: str, centre: Point, *, half: float = MARK) -> Stroke:
    """A disc for within, a triangle for outside, a diamond for measure again: told apart without colour."""
    x, y = centre
    if verdict == "within":
        return circle(centre, half, SOLID)
    if verdict == "outside":
        corners = [(x, y - half), (x + half, y + half * 0.9), (x - half, y + half * 0.9)]
    else:
        corners = [(x, y - half), (x + half, y), (x, y + half), (x - half, y)]
    return Stroke(path(corners, closed=True), SOLID)


def tag(x: float, y: float, text: str, *, anchor: str = "middle", bold: bool = False) -> Group:
    """A word or two that name a landmark or a view."""
    words = Words(x, y, text, BODY, bold=bold, anchor=anchor)
    return Group(words=(words,), boxes=(words.box,))
