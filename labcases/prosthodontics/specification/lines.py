"""What a specification is made of: one line per dimension, each with its reason."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.wording import Words

BECOMES = Words("{before} becomes {after}")
FROM_TO = Words("{low} to {high}")
AT_MOST, AT_LEAST = Words("at most {limit}"), Words("at least {limit}")
UNIT_SIGNS = {"mm": " mm", "deg": "°", "%": " %", "min": " min", "count": ""}


class Basis(StrEnum):
    """Why a line has the figure it has; the first that applies wins, in this order."""

    PRESCRIBED = "prescribed"
    COMPUTED = "computed"
    STANDARD = "lab standard"

    @property
    def words(self) -> str:
        return _BASIS_WORDS[self]


_BASIS_WORDS = {
    Basis.PRESCRIBED: Words("prescribed"),
    Basis.COMPUTED: Words("computed"),
    Basis.STANDARD: Words("lab standard"),
}


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """One line: a figure to work to with its limits, or a wording where the trade has no number."""

    name: str
    label: str
    arch: str
    target: Decimal | None
    lower: Decimal | None
    upper: Decimal | None
    unit: str
    basis: Basis
    source: str
    why: str
    wording: str = ""
    uncertainty: Decimal | None = None
    measurable: bool = True
    formula: str = ""

    @property
    def words(self) -> str:
        """The line's figure as printed: "21.0 mm (20.0 to 22.0)", or its wording."""
        if self.target is None:
            return self.wording
        return with_unit(self.target, self.unit) + self.limits_in_words

    @property
    def limits_in_words(self) -> str:
        if self.lower is None and self.upper is None:
            return ""
        if self.lower is None:
            return f" ({AT_MOST.of(limit=figure(self.upper, self.unit))})"
        if self.upper is None:
            return f" ({AT_LEAST.of(limit=figure(self.lower, self.unit))})"
        low, high = figure(self.lower, self.unit), figure(self.upper, self.unit)
        return f" ({FROM_TO.of(low=low, high=high)})"


@dataclass(frozen=True, kw_only=True)
class Specification:
    """Everything that one stage of one arch is made to. `choices` names the schools of thought used."""

    stage: str
    arch: str
    dimensions: tuple[Dimension, ...]
    notes: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()

    def dimension(self, name: str) -> Dimension:
        """The line of that name; raises `InputError` when the specification has none."""
        for line in self.dimensions:
            if line.name == name:
                return line
        raise InputError("dimension", name, ", ".join(line.name for line in self.dimensions))


@dataclass(frozen=True, kw_only=True)
class Change:
    """One difference between two revisions; `before` or `after` is None where the line exists only once."""

    name: str
    label: str
    before: Dimension | None
    after: Dimension | None
    words: str


def differences(old: Specification, new: Specification) -> tuple[Change, ...]:
    """What changed from one revision to the next, in the order of the new one; removed lines come last."""
    before = {line.name: line for line in old.dimensions}
    after = {line.name: line for line in new.dimensions}
    names = [*after, *(name for name in before if name not in after)]
    return tuple(_changes(names, before, after))


def figure(value: Decimal | None, unit: str) -> str:
    """A figure without its unit: counts as whole numbers, everything else with one decimal or more."""
    return format_millimetres(value, places=0) if unit == "count" else format_millimetres(value)


def with_unit(value: Decimal, unit: str) -> str:
    return figure(value, unit) + UNIT_SIGNS[unit]


def _changes(names: list[str], before: dict[str, Dimension], after: dict[str, Dimension]) -> Iterator[Change]:
    for name in names:
        old, new = before.get(name), after.get(name)
        words = _change_in_words(old, new)
        if words:
            label = new.label if new else old.label if old else name
            yield Change(name=name, label=label, before=old, after=new, words=f"{label}: {words}")


def _change_in_words(old: Dimension | None, new: Dimension | None) -> str:
    if old is None or new is None:
        return Words("new, {figure}").of(figure=new.words) if new else str(Words("no longer specified"))
    parts = []
    if old.words != new.words:
        parts.append(BECOMES.of(before=old.words, after=new.words))
    if old.basis is not new.basis:
        parts.append(BECOMES.of(before=old.basis.words, after=new.basis.words))
    if not parts and (old.why != new.why or old.source != new.source):
        parts.append(str(Words("same figure, other reason")))
    return "; ".join(parts)
