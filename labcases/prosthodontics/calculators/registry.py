"""All calculators by name: the one list behind the command line, the page of calculators and the examples."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from labcases.prosthodontics.calculators import (
    arch,
    articulator,
    checks,
    materials,
    rims,
    statistics,
    teeth,
    vertical,
)
from labcases.prosthodontics.calculators.definition import Calculator
from labcases.prosthodontics.calculators.inputs import read_document
from labcases.prosthodontics.calculators.propagation import compute_with_uncertainty
from labcases.prosthodontics.errors import InputError

_MODULES = (arch, rims, checks, vertical, teeth, articulator, materials, statistics)

CALCULATORS: Mapping[str, Calculator] = MappingProxyType(
    {calculator.name: calculator for module in _MODULES for calculator in module.CALCULATORS}
)


def list_calculators() -> tuple[Calculator, ...]:
    """Every calculator in the order of the page, group by group."""
    return tuple(CALCULATORS.values())


def calculator(name: str) -> Calculator:
    """The calculator of that name; InputError that lists the names."""
    if name not in CALCULATORS:
        raise InputError("calculator", name, ", ".join(CALCULATORS))
    return CALCULATORS[name]


def calculate(name: str, document: object) -> dict[str, object]:
    """The answer of one calculator to one document, ready for JSON.

    InputError for an unknown calculator or input, a wrong type, an impossible value or combination.
    """
    chosen = calculator(name)
    result = compute_with_uncertainty(chosen, read_document(document, chosen.inputs))
    return {"calculator": chosen.name, "label": chosen.label, **result.as_document()}
