"""Worked examples: every calculator run on its example, beside the figures published or derived elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import read_document
from labcases.prosthodontics.calculators.propagation import compute_with_uncertainty
from labcases.prosthodontics.calculators.registry import list_calculators
from labcases.prosthodontics.calculators.results import Result, figure_text


@dataclass(frozen=True)
class Checked:
    """One figure of an example beside the one from outside."""

    check: Check
    label: str
    computed: str
    unit: str
    agrees: bool

    @property
    def known(self) -> str:
        """The figure from outside with as much of it as was given."""
        return f"{self.check.figure:.9g}"


@dataclass(frozen=True)
class WorkedExample:
    """A calculator's example with its answer, computed now, and how it compares."""

    calculator: Calculator
    result: Result
    checked: tuple[Checked, ...]


def worked_examples() -> tuple[WorkedExample, ...]:
    """Every calculator's example, in the order of the page."""
    return tuple(worked_example(calculator) for calculator in list_calculators())


def worked_example(calculator: Calculator) -> WorkedExample:
    """One calculator run on its example, its figures beside those of its checks."""
    result = compute_with_uncertainty(calculator, read_document(calculator.example, calculator.inputs))
    return WorkedExample(calculator, result, tuple(_checked(result, check) for check in calculator.checks))


def _checked(result: Result, check: Check) -> Checked:
    value = result.value(check.value)
    figure = float(value.value)
    agrees = abs(figure - check.figure) <= check.tolerance + 1e-12
    return Checked(check, value.label, figure_text(figure, value.places), value.unit, agrees)
