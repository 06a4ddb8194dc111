"""One calculator: what it takes, how it computes, and a worked example with a figure from outside."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from labcases.prosthodontics.calculators.inputs import Given, Input
from labcases.prosthodontics.calculators.results import Result
from labcases.prosthodontics.provenance import Source
from labcases.prosthodontics.wording import Words

GROUPS: dict[str, str] = {
    "arch": Words("Arch form"),
    "rims": Words("Occlusion rims"),
    "checks": Words("Checks across readings"),
    "vertical": Words("Vertical dimension"),
    "teeth": Words("Teeth"),
    "articulator": Words("Articulator"),
    "materials": Words("Materials"),
    "statistics": Words("Quality statistics"),
}


@dataclass(frozen=True)
class Check:
    """A figure that the example must give: published or derived, how closely, and from where."""

    value: str
    figure: float
    tolerance: float
    source: Source


@dataclass(frozen=True)
class Calculator:
    """A named calculation. `example` is a document for it; `checks` are the figures that it must give."""

    name: str
    label: str
    group: str
    about: str
    inputs: tuple[Input, ...]
    compute: Callable[[Given], Result]
    example: Mapping[str, object]
    checks: tuple[Check, ...] = field(default=())

    def as_document(self) -> dict[str, object]:
        """Name, group and inputs ready for JSON."""
        return {
            "name": self.name,
            "label": self.label,
            "group": GROUPS[self.group],
            "about": self.about,
            "inputs": [each.as_document() for each in self.inputs],
        }
