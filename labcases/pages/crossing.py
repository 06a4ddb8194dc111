"""The crossing line: a case's way between two banks, the clinic and the laboratory, as shapes for an SVG.

Coordinates are whole user units, one unit being one CSS pixel at natural size, so that no language's decimal
comma can reach a path.
"""

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import in_a_sentence

PLACES = {"clinic": _("clinic"), "laboratory": _("laboratory")}
AT_PLACES = {"clinic": _("at the clinic"), "laboratory": _("at the laboratory")}
STATE_WORDS = {
    "waiting": _("waiting"),
    "in_progress": _("in progress"),
    "on_hold": _("on hold"),
    "done": _("done"),
    "returned": _("sent back"),
    "skipped": _("not needed"),
}
# A state that its shape alone might not tell is also written under the stop.
WRITTEN_STATES = ("on_hold", "returned", "skipped")


class Form(StrEnum):
    """Wide runs left to right, tall downwards for a phone, small is the bare line for a row of a list."""

    WIDE = "wide"
    TALL = "tall"
    SMALL = "small"


@dataclass(frozen=True, kw_only=True)
class Stop:
    """One stage on the way. `back_to` is the index of the stop a returned case was sent back to."""

    label: str
    place: str
    state: str
    date_text: str = ""
    visit: int = 1
    current: bool = False
    back_to: int | None = None


@dataclass(frozen=True)
class Measures:
    """How large one form is drawn. `along` is the direction of travel, `across` goes from bank to bank."""

    clinic: int
    laboratory: int
    radius: int
    start: int
    end: int
    crossing_step: int
    staying_step: int
    text_gap: int
    line_height: int
    characters: int
    natural_length: int = 0


MEASURES = {
    Form.WIDE: Measures(0, 96, 8, 156, 76, 64, 64, 14, 18, 15, 1136),
    Form.TALL: Measures(132, 212, 8, 60, 26, 40, 40, 12, 17, 15),
    Form.SMALL: Measures(12, 38, 4, 11, 11, 23, 20, 0, 0, 0),
}
# The last parts of compounds that are longer than a line, such as the impressions of German.
PARTS_BEFORE = re.compile(r"(?<=\w{5})(?=abformung|bestimmung|fütterung|relation)")
MOST_STRETCH = 1.7
CHARACTER_WIDTH = 7.1
BAND = 24
TALL_WIDTH = 344


@dataclass(frozen=True)
class TextLine:
    x: int
    y: int
    text: str
    kind: str
    anchor: str


@dataclass(frozen=True)
class Mark:
    """One stop as drawn: centre, radius, state as a class name, and its lines of text."""

    x: int
    y: int
    radius: int
    state: str
    current: bool
    lines: tuple[TextLine, ...] = ()

    @property
    def ring(self) -> int:
        return self.radius + 5

    @property
    def heart(self) -> int:
        return self.radius // 2

    @property
    def tick(self) -> str:
        return f"M{self.x - 4} {self.y}l3 3 5 -6"

    @property
    def bars(self) -> str:
        reach = self.radius // 2
        return f"M{self.x - 3} {self.y - reach}v{2 * reach}M{self.x + 3} {self.y - reach}v{2 * reach}"


@dataclass(frozen=True)
class Segment:
    d: str
    kind: str


@dataclass(frozen=True)
class Loop:
    d: str
    head: str


@dataclass(frozen=True)
class Bank:
    place: str
    x: int
    y: int
    width: int
    height: int
    rail: str
    name: TextLine | None = None


@dataclass(frozen=True)
class CrossingDrawing:
    """Everything the template needs to draw one case's way; `form` is also a class name."""

    form: Form
    width: int
    height: int
    banks: tuple[Bank, ...] = ()
    segments: tuple[Segment, ...] = ()
    loops: tuple[Loop, ...] = ()
    marks: tuple[Mark, ...] = ()

    @property
    def is_long(self) -> bool:
        """Too long to be scaled into a page and stay readable; it scrolls sideways instead."""
        return self.form is Form.WIDE and self.width > 1220


@dataclass
class Layout:
    """Positions while they are worked out. `point` turns travel coordinates into x and y of the form."""

    stops: Sequence[Stop]
    form: Form
    texts: list[list[tuple[str, str]]] = field(default_factory=list)
    along: list[int] = field(default_factory=list)
    clinic: int = 0
    laboratory: int = 0

    @property
    def measures(self) -> Measures:
        return MEASURES[self.form]

    def across(self, place: str) -> int:
        return self.clinic if place == "clinic" else self.laboratory

    def point(self, along: float, across: float) -> tuple[int, int]:
        return (round(across), round(along)) if self.form is Form.TALL else (round(along), round(across))

    def at(self, index: int) -> tuple[int, int]:
        return self.along[index], self.across(self.stops[index].place)


def layout_crossing(stops: Sequence[Stop], *, form: Form = Form.WIDE) -> CrossingDrawing:
    """Lay the stops out along the way; raises `InputError` for a stop that cannot be drawn."""
    _check(stops)
    layout = Layout(stops, form)
    layout.texts = [_text_of(stop, layout.measures.characters) for stop in stops]
    layout.along = _positions(layout)
    layout.clinic, layout.laboratory = _rails(layout)
    width, height = _size(layout)
    return CrossingDrawing(
        form=form,
        width=width,
        height=height,
        banks=_banks(layout, width, height),
        segments=tuple(_segment(layout, index) for index in range(1, len(stops))),
        loops=tuple(_loop(layout, index) for index, stop in enumerate(stops) if stop.back_to is not None),
        marks=tuple(_mark(layout, index) for index in range(len(stops))),
    )


def stops_in_words(stops: Sequence[Stop]) -> tuple[str, ...]:
    """The same way as sentences, one per stop: what a screen reader says and a printed page shows."""
    _check(stops)
    return tuple(_in_words(stops, stop) for stop in stops)


def _in_words(stops: Sequence[Stop], stop: Stop) -> str:
    parts = [stop.label]
    if stop.visit > 1:
        parts.append(_visit(stop))
    parts += [str(AT_PLACES[stop.place]), str(STATE_WORDS[stop.state])]
    if stop.back_to is not None:
        parts[-1] = gettext("sent back to {stage}").format(stage=in_a_sentence(stops[stop.back_to].label))
    if stop.date_text:
        parts.append(stop.date_text)
    words = ", ".join(parts)
    return gettext("{words} (the case is here now)").format(words=words) if stop.current else words


def _visit(stop: Stop) -> str:
    return gettext("visit {number}").format(number=stop.visit)


def _check(stops: Sequence[Stop]) -> None:
    for index, stop in enumerate(stops):
        if stop.place not in PLACES:
            raise InputError("place", stop.place, ", ".join(PLACES))
        if stop.state not in STATE_WORDS:
            raise InputError("state", stop.state, ", ".join(STATE_WORDS))
        if stop.back_to is not None and not 0 <= stop.back_to < index:
            raise InputError("back_to", stop.back_to, f"the index of an earlier stop, 0 to {index - 1}")


def _text_of(stop: Stop, characters: int) -> list[tuple[str, str]]:
    """Lines of text with their kind, top to bottom; none where the form has no room for any."""
    if not characters:
        return []
    lines = [(line, "label") for line in textwrap.wrap(_parted(stop.label, characters), characters)]
    if stop.visit > 1:
        lines.append((_visit(stop), "label"))
    if stop.date_text:
        lines.append((stop.date_text, "date"))
    if stop.state in WRITTEN_STATES:
        lines.append((str(STATE_WORDS[stop.state]), "date"))
    return lines


def _parted(label: str, characters: int) -> str:
    """Words too long for a line are parted where the language parts them, not wherever the line ends."""
    return " ".join(
        PARTS_BEFORE.sub("- ", word) if len(word) > characters else word for word in label.split()
    )


def _extent(layout: Layout, index: int) -> float:
    """Half the room that a stop and its text take in the direction of travel."""
    lines = layout.texts[index]
    if layout.form is Form.TALL:
        return len(lines) * layout.measures.line_height / 2
    return max((len(text) for text, _ in lines), default=0) * CHARACTER_WIDTH / 2


def _positions(layout: Layout) -> list[int]:
    """Places along the way: as close as the texts of one bank allow, then spread over the natural length."""
    measures = layout.measures
    along: list[float] = []
    last_on: dict[str, int] = {}
    for index, stop in enumerate(layout.stops):
        at = along[-1] + _step(layout, index) if index else _start(layout)
        if (last := last_on.get(stop.place)) is not None:
            at = max(at, along[last] + _extent(layout, last) + _extent(layout, index) + measures.text_gap)
        along.append(at)
        last_on[stop.place] = index
    stretch = _stretch(measures, along)
    return [round(along[0] + (at - along[0]) * stretch) for at in along]


def _start(layout: Layout) -> float:
    """Where the first stop lies: clear of the banks' names."""
    if layout.form is Form.TALL:
        return layout.measures.start + _extent(layout, 0) - layout.measures.line_height
    return layout.measures.start


def _step(layout: Layout, index: int) -> int:
    stays = layout.stops[index].place == layout.stops[index - 1].place
    return layout.measures.staying_step if stays else layout.measures.crossing_step


def _stretch(measures: Measures, along: list[float]) -> float:
    if len(along) < 2:
        return 1.0
    room = measures.natural_length - measures.start - measures.end
    return min(max(room / (along[-1] - along[0]), 1.0), MOST_STRETCH)


def _most_lines(layout: Layout, place: str) -> int:
    pairs = zip(layout.stops, layout.texts, strict=True)
    return max((len(lines) for stop, lines in pairs if stop.place == place), default=1)


def _rails(layout: Layout) -> tuple[int, int]:
    measures = layout.measures
    if layout.form is not Form.WIDE:
        return measures.clinic, measures.laboratory
    clinic = _most_lines(layout, "clinic") * measures.line_height + BAND + 10
    return clinic, clinic + measures.laboratory


def _size(layout: Layout) -> tuple[int, int]:
    measures = layout.measures
    length = (layout.along[-1] if layout.along else measures.start) + measures.end
    if layout.form is Form.TALL:
        tail = round(_extent(layout, len(layout.stops) - 1)) if layout.stops else 0
        return TALL_WIDTH, length + max(0, tail - 14)
    if layout.form is Form.SMALL:
        return length, layout.laboratory + measures.radius + 9
    text = _most_lines(layout, "laboratory") * measures.line_height
    return length, layout.laboratory + text + BAND + 12


def _banks(layout: Layout, width: int, height: int) -> tuple[Bank, ...]:
    if layout.form is Form.TALL:
        left, right = layout.clinic + BAND, layout.laboratory - BAND
        return (
            Bank("clinic", 0, 0, left, height, f"M{layout.clinic} 36V{height}", _bank_name(layout, "clinic")),
            Bank(
                "laboratory",
                right,
                0,
                width - right,
                height,
                f"M{layout.laboratory} 36V{height}",
                _bank_name(layout, "laboratory"),
            ),
        )
    named = layout.form is Form.WIDE
    upper, lower = layout.clinic + BAND, layout.laboratory - BAND
    rail_start = 96 if named else 0
    return tuple(
        Bank(place, 0, y, width, size, f"M{rail_start} {rail}H{width}", _bank_name(layout, place))
        for place, y, size, rail in (
            ("clinic", 0, upper, layout.clinic),
            ("laboratory", lower, height - lower, layout.laboratory),
        )
    )


def _bank_name(layout: Layout, place: str) -> TextLine | None:
    if layout.form is Form.SMALL:
        return None
    if layout.form is Form.WIDE:
        return TextLine(14, layout.across(place) + 5, _place(place), "name", "start")
    anchor = "end" if place == "clinic" else "start"
    return TextLine(_text_across(layout, place), 26, _place(place), "name", anchor)


def _place(place: str) -> str:
    return str(PLACES[place]).capitalize()


def _text_across(layout: Layout, place: str) -> int:
    away = layout.measures.radius + 12
    return layout.across(place) + (-away if place == "clinic" else away)


def _mark(layout: Layout, index: int) -> Mark:
    stop = layout.stops[index]
    x, y = layout.point(*layout.at(index))
    return Mark(
        x=x,
        y=y,
        radius=layout.measures.radius,
        state=stop.state.replace("_", "-"),
        current=stop.current,
        lines=tuple(_lines(layout, index, x, y)),
    )


def _lines(layout: Layout, index: int, x: int, y: int) -> list[TextLine]:
    stop, texts, height = layout.stops[index], layout.texts[index], layout.measures.line_height
    above = stop.place == "clinic"
    if layout.form is Form.TALL:
        x, anchor = _text_across(layout, stop.place), "end" if above else "start"
        first = y + 4 - round((len(texts) - 1) * height / 2)
    else:
        anchor = "middle"
        first = y - 22 - (len(texts) - 1) * height if above else y + 32
    return [
        TextLine(x, first + row * height, text, _tone(kind, stop), anchor)
        for row, (text, kind) in enumerate(texts)
    ]


def _tone(kind: str, stop: Stop) -> str:
    if stop.current:
        return f"{kind} stop-{kind}-current"
    if kind == "label" and stop.state in ("waiting", "skipped"):
        return "label stop-label-ahead"
    return kind


def _has_been(stops: Sequence[Stop], index: int) -> bool:
    stop = stops[index]
    return stop.current or stop.state not in ("waiting", "skipped")


def _segment(layout: Layout, index: int) -> Segment:
    stops = layout.stops
    if "skipped" in (stops[index].state, stops[index - 1].state):
        kind = "skipped"
    else:
        kind = "travelled" if _has_been(stops, index) else "ahead"
    return Segment(_way(layout, layout.at(index - 1), layout.at(index)), kind)


def _way(layout: Layout, start: tuple[int, int], end: tuple[int, int]) -> str:
    """A straight line along one bank, or an S from one to the other."""
    if start[1] == end[1]:
        return f"{_to('M', layout, start)}{_to('L', layout, end)}"
    half = (start[0] + end[0]) / 2
    controls = ((half, start[1]), (half, end[1]), end)
    return _to("M", layout, start) + "C" + " ".join(_to("", layout, point) for point in controls)


def _to(command: str, layout: Layout, point: tuple[float, float]) -> str:
    x, y = layout.point(*point)
    return f"{command}{x} {y}"


def _loop(layout: Layout, index: int) -> Loop:
    """The way back of a returned case: out over the water, along it, and down on the earlier stop."""
    back_to = layout.stops[index].back_to
    assert back_to is not None
    (start, start_bank), (end, end_bank) = layout.at(index), layout.at(back_to)
    large = layout.form is not Form.SMALL
    clear, head, bend = layout.measures.radius + (3 if large else 1), 7 if large else 4, 13 if large else 5
    middle = (layout.clinic + layout.laboratory) / 2
    out, home = _towards_water(layout, start_bank), _towards_water(layout, end_bank)
    tip = end_bank + home * clear
    way = [
        _to("M", layout, (start, start_bank + out * clear)),
        _to("L", layout, (start, middle - out * bend)),
        _bend(layout, (start, middle), (start - bend, middle)),
        _to("L", layout, (end + bend, middle)),
        _bend(layout, (end, middle), (end, middle - home * bend)),
        _to("L", layout, (end, tip + home * head)),
    ]
    wings = ((end - head * 0.7, tip + home * head), (end + head * 0.7, tip + home * head))
    arrow = _to("M", layout, (end, tip)) + "".join(_to("L", layout, wing) for wing in wings) + "Z"
    return Loop("".join(way), arrow)


def _bend(layout: Layout, corner: tuple[float, float], end: tuple[float, float]) -> str:
    return f"{_to('Q', layout, corner)} {_to('', layout, end)}"


def _towards_water(layout: Layout, bank: int) -> int:
    return 1 if bank == layout.clinic else -1
