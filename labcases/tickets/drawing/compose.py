"""Views put together: side by side on paper and wide screens, one below the other on a phone."""

from typing import Literal

from django.utils.translation import gettext_lazy as _

from labcases.prosthodontics import wording
from labcases.tickets.drawing.base import base_views
from labcases.tickets.drawing.facts import DRAWN_KINDS, DrawingFacts
from labcases.tickets.drawing.labels import BODY_LINE, MARK, tag, verdict_mark
from labcases.tickets.drawing.lettering import BODY, wrapped
from labcases.tickets.drawing.marks import EDGE, FINE, Drawing, Group, View, Words, line
from labcases.tickets.drawing.rim import rim_from
from labcases.tickets.drawing.rim_above import rim_from_above
from labcases.tickets.drawing.rim_front import rim_from_front
from labcases.tickets.drawing.rim_section import rim_cut
from labcases.tickets.drawing.tray import tray_views

Form = Literal["wide", "narrow"]
WIDE, NARROW = 184.0, 101.0
TITLE, BETWEEN = 6.0, 4.0
KINDS = {
    "occlusion_rims": _("{arch} occlusion rim with its dimensions"),
    "custom_tray": _("{arch} custom tray with its dimensions"),
    "record_base": _("{arch} record base with its dimensions"),
}
BAR = 50


def draw_work(facts: DrawingFacts, *, form: Form = "wide") -> Drawing | None:
    """The drawing of a stage's work for one arch, or None for a kind of work that is not drawn."""
    if facts.kind not in DRAWN_KINDS:
        return None
    views, notes = _views(facts)
    room = WIDE - views[-1].width - BETWEEN if form == "wide" and len(views) % 2 else views[0].width
    views.append(_notes(notes, facts, width=room))
    placed = _rows(views) if form == "wide" else _column(views)
    return Drawing(
        width=WIDE if form == "wide" else NARROW,
        height=round(max(view.y + view.height for view in placed) + 0.5, 2),
        title=KINDS[facts.kind].format(arch=str(wording.Words(facts.arch)).capitalize()),
        description=_in_words(facts),
        views=tuple(placed),
    )


def _views(facts: DrawingFacts) -> tuple[list[View], tuple[str, ...]]:
    if facts.kind == "custom_tray":
        return tray_views(facts)
    if facts.kind == "record_base":
        return base_views(facts)
    rim = rim_from(facts)
    return [rim_from_above(rim), rim_cut(rim), rim_from_front(rim)], rim.notes


def _in_words(facts: DrawingFacts) -> str:
    """The same dimensions for who cannot see the drawing."""
    said = []
    for each in facts.dimensions.values():
        figure = f"{each.figure} {each.unit}, {each.limits}" if each.target is not None else each.wording
        words = f"{each.label}: {figure}"
        if each.measured:
            verdict = wording.Words(each.verdict)
            words = _("{dimension}; measured {value} {verdict}").format(
                dimension=words, value=each.measured, verdict=verdict
            )
        said.append(words.rstrip(" ,"))
    return ". ".join(said)


def _rows(views: list[View]) -> list[View]:
    """Two views to a row; where there are but two, the notes go under the first."""
    if len(views) == 3:
        above, beside, notes = views
        placed = [above.at(0, TITLE), beside.at(WIDE - beside.width, TITLE)]
        return [_titled(view) for view in (*placed, notes.at(0, TITLE + above.height + BETWEEN))]
    placed, top = [], 0.0
    for left, right in zip(views[::2], views[1::2], strict=True):
        placed += [left.at(0, top + TITLE), right.at(WIDE - right.width, top + TITLE)]
        top += TITLE + max(left.height, right.height) + BETWEEN
    return [_titled(view) for view in placed]


def _column(views: list[View]) -> list[View]:
    placed, top = [], 0.0
    for view in views:
        placed.append(_titled(view.at(0, top + TITLE)))
        top += TITLE + view.height + BETWEEN
    return placed


def _titled(view: View) -> View:
    """A view with its name over it."""
    if not view.name:
        return view
    groups = (tag(0, 3.4 - TITLE, view.name, anchor="start", bold=True), *view.groups)
    return View(view.name, view.x, view.y, view.width, view.height, groups)


def _notes(notes: tuple[str, ...], facts: DrawingFacts, *, width: float) -> View:
    """Whose arch it is, a bar to check the printer with, and what the verdicts' shapes mean."""
    lines = [row for note in notes for row in wrapped(str(note), BODY, width=width)]
    words = [Words(0, BODY_LINE * (n + 1), text, BODY) for n, text in enumerate(lines)]
    top = BODY_LINE * len(lines) + 6
    words.append(Words(0, top + 6, _("{length} mm when printed at 100 %").format(length=BAR), BODY))
    strokes = [line((0, top), (BAR, top), EDGE)]
    strokes += [line((x, top - (2 if x % BAR == 0 else 1)), (x, top), FINE) for x in range(0, BAR + 1, 10)]
    top += 8
    if _judged(facts):
        x = 0.0
        for verdict in ("within", "outside", "measure again"):
            words.append(Words(x + 2 * MARK + 1, top + BODY_LINE, str(wording.Words(verdict)), BODY))
            strokes.append(verdict_mark(verdict, (x + MARK, top + BODY_LINE - 1.25)))
            x = words[-1].box.right + 4
        top += BODY_LINE + 0.6
    group = Group(strokes=tuple(strokes), words=tuple(words), boxes=tuple(each.box for each in words))
    return View("", 0, 0, width, top, (group,))


def _judged(facts: DrawingFacts) -> bool:
    return any(each.verdict for each in facts.dimensions.values())
