"""What a calculator gives back: values with unit and source, steps with numbers, cautions, drawings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from labcases.prosthodontics.provenance import Source
from labcases.prosthodontics.wording import Words

SIDES = {"left": Words("left"), "right": Words("right")}
Cell = str | float | int | None


@dataclass(frozen=True)
class Value:
    """One figure or wording. places: decimals shown; u: standard uncertainty in its unit, if known."""

    name: str
    label: str
    value: float | str
    unit: str = ""
    places: int = 2
    source: Source | None = None
    u: float | None = None

    def as_document(self) -> dict[str, object]:
        """The value ready for JSON; figures are texts with a decimal point."""
        written: dict[str, object] = {
            "name": self.name,
            "label": self.label,
            "value": figure_text(self.value, self.places),
            "unit": self.unit,
        }
        if self.source is not None:
            written["source"] = self.source.words
            written["provenance"] = self.source.provenance.value
        if self.u is not None:
            written["u"] = figure_text(self.u, max(self.places, 2) + 1)
        return written


@dataclass(frozen=True)
class Table:
    """Rows that belong together."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]

    def as_document(self) -> dict[str, object]:
        return {"title": self.title, "columns": list(self.columns), "rows": [list(row) for row in self.rows]}


@dataclass(frozen=True)
class Result:
    """The answer of a calculator. drawing: polylines by name, n × 2 arrays in mm."""

    values: tuple[Value, ...]
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    drawing: Mapping[str, object] = field(default_factory=dict)

    def value(self, name: str) -> Value:
        """The value of that name."""
        return next(value for value in self.values if value.name == name)

    def as_document(self) -> dict[str, object]:
        """The result ready for JSON."""
        return {
            "values": [value.as_document() for value in self.values],
            "steps": list(self.steps),
            "cautions": list(self.cautions),
            "tables": [table.as_document() for table in self.tables],
            "drawing": {name: _lines(lines) for name, lines in self.drawing.items()},
        }


def figure_text(value: float | str, places: int) -> str:
    """A figure with a decimal point and the plain hyphen that programs read as a minus; never −0."""
    if isinstance(value, str):
        return value
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if not float(text) else text


def _lines(lines: object) -> object:
    """Coordinates to 0.001 mm, lists all the way down."""
    if isinstance(lines, np.ndarray):
        return (np.round(lines, 3) + 0.0).tolist()
    if isinstance(lines, Mapping):
        return {str(name): _lines(line) for name, line in lines.items()}
    if isinstance(lines, Sequence) and not isinstance(lines, str):
        return [_lines(line) for line in lines]
    return round(float(lines), 3) if isinstance(lines, float) else lines
