"""The rows of a bench sheet: each dimension with its target, what was measured, and the boxes to enter it."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.forms import BoundField
from django.utils.translation import gettext as _

from labcases.bench.forms import SheetForm
from labcases.cases.choices import Arches
from labcases.measurements.choices import Verdict
from labcases.measurements.derivations.lines import COVERAGE, number
from labcases.measurements.queries import Box
from labcases.pages.templatetags.trade import UNIT_SIGNS, mm
from labcases.prosthodontics.uncertainty import INSTRUMENTS
from labcases.prosthodontics.wording import Words, in_a_sentence


def plain(value: Decimal, unit: str, *, places: int | None = None) -> str:
    """A figure without its unit; a count is a whole number."""
    return mm(value, 0 if unit == "count" else places)


def figure(value: Decimal, unit: str, *, places: int | None = None) -> str:
    """A figure with its unit as people write it: "21.5 mm", "95.0°", "4"."""
    text = plain(value, unit, places=places)
    sign = UNIT_SIGNS.get(unit, unit)
    return f"{text}{sign}" if sign in ("°", "") else f"{text} {sign}"


def spread(line: Any) -> str:
    """± of some 95 in 100 about a computed target, in its unit; a target that is set has none."""
    return f" ± {number(COVERAGE * float(line.uncertainty))}" if line.uncertainty else ""


def limits(line: Any) -> str:
    low, high = line.lower, line.upper
    if low is not None and high is not None:
        return _("{low} to {high}").format(low=plain(low, line.unit), high=plain(high, line.unit))
    if low is not None:
        return _("at least {low}").format(low=plain(low, line.unit))
    return _("at most {high}").format(high=plain(high, line.unit)) if high is not None else ""


def aim(line: Any) -> str:
    """What a line asks, on one line: "18.0 mm (17.0 to 19.0)", or its wording."""
    if line.target is None:
        return str(Words(line.wording))
    said = limits(line)
    return f"{figure(line.target, line.unit)} ({said})" if said else figure(line.target, line.unit)


@dataclass(frozen=True)
class Row:
    """One dimension of one arch: a line of the specification, a figure to take, or both."""

    arch: str
    line: Any = None
    box: Box | None = None
    form: SheetForm | None = None

    @property
    def name(self) -> str:
        return self.line.name if self.line else self.box.quantity.name

    @property
    def label(self) -> str:
        return str(Words(self.line.label if self.line else self.box.quantity.label))

    @property
    def target(self) -> str:
        if self.line is None:
            return ""
        if self.line.target is None:
            return str(Words(self.line.wording))
        return f"{figure(self.line.target, self.line.unit)}{spread(self.line)}"

    @property
    def is_wording(self) -> bool:
        return bool(self.line) and self.line.target is None

    @property
    def limits(self) -> str:
        return limits(self.line) if self.line else ""

    @property
    def previous(self) -> str:
        """The same figure as it stood at an earlier stage or visit."""
        before = self.box.before if self.box else None
        return f"{figure(before.value, before.unit)} ({in_a_sentence(before.stage.label)})" if before else ""

    @property
    def standing(self) -> Any:
        return self.box.standing if self.box else None

    @property
    def judgement(self) -> Any:
        return self.box.judgement if self.box else None

    @property
    def is_doubtful(self) -> bool:
        return self.judgement is not None and self.judgement.verdict != Verdict.WITHIN

    @property
    def measured(self) -> str:
        reading = self.standing
        return figure(reading.value, reading.unit, places=2 if len(reading.repeats) > 1 else None)

    @property
    def taken(self) -> str:
        """How the standing figure came about: repeats and instrument."""
        reading = self.standing
        repeats = ", ".join(mm(Decimal(text)) for text in reading.repeats)
        mean = _("mean of {repeats}").format(repeats=repeats) if len(reading.repeats) > 1 else ""
        tool = str(INSTRUMENTS[reading.instrument].label) if reading.instrument in INSTRUMENTS else ""
        said = ", ".join(filter(None, [mean, tool]))
        return said[:1].upper() + said[1:]

    @property
    def struck(self) -> list[tuple[str, Any]]:
        """Figures that a later one replaced, oldest first."""
        corrected = self.box.corrected if self.box else ()
        return [(figure(reading.value, reading.unit), reading) for reading in corrected]

    @property
    def is_open(self) -> bool:
        """Whether there are boxes to type into."""
        return self.form is not None and self.box is not None and self.standing is None

    @property
    def boxes(self) -> list[BoundField]:
        return [self.form[name] for name in self.form.readings_of(self.box)]

    @property
    def instrument(self) -> BoundField | None:
        name = f"{self.box.key}-instrument"
        return self.form[name] if name in self.form.fields else None

    @property
    def asks(self) -> str:
        """Words where an unusual figure waits for one confirming tap."""
        return self.form.asks.get(self.box.key, "") if self.form.is_bound else ""

    @property
    def is_in_use(self) -> bool:
        """Whether somebody measured it here, or began to type it."""
        return self.standing is not None or (self.is_open and any(box.value() for box in self.boxes))


@dataclass(frozen=True)
class Part:
    """One arch, or the patient: rows that the stage asks for, further ones, the drawing that shows them, and what
    follows from them."""

    arch: str
    rows: tuple[Row, ...]
    further: tuple[Row, ...] = ()
    drawing: Any = None
    follows: tuple[Any, ...] = ()

    @property
    def further_are_in_use(self) -> bool:
        return any(row.is_in_use for row in self.further)

    @property
    def open_rows(self) -> list[Row]:
        return [row for row in (*self.rows, *self.further) if row.is_open]

    @property
    def title(self) -> str:
        titles = {Arches.MAXILLARY: _("Maxillary"), Arches.MANDIBULAR: _("Mandibular")}
        return titles.get(self.arch, _("Patient"))


def parts_of(
    arches: Sequence[str], specification: Any, boxes: Sequence[Box], form: SheetForm | None
) -> list[Part]:
    """Rows by arch, upper first: the specification's lines in their order; without one the stage's figures."""
    lines = list(specification.lines.all()) if specification else []
    by_line = {box.line.pk: box for box in boxes if box.line}
    parts = []
    for arch in (*arches, ""):
        asked = tuple(Row(arch, line, by_line.get(line.pk), form) for line in lines if line.arch == arch)
        others = tuple(Row(arch, None, box, form) for box in boxes if box.line is None and box.arch == arch)
        if asked or others:
            parts.append(Part(arch, asked, others) if lines else Part(arch, others))
    return parts
