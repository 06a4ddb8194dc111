"""Every calculation by name, with its inputs, units, ranges, steps, sources and a worked example."""

from labcases.prosthodontics.calculators.by_standard import defaults_by
from labcases.prosthodontics.calculators.definition import GROUPS, Calculator, Check
from labcases.prosthodontics.calculators.inputs import Input, Kind
from labcases.prosthodontics.calculators.registry import calculate, calculator, list_calculators
from labcases.prosthodontics.calculators.request import arch_form_request
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.typed import document_from_texts
from labcases.prosthodontics.calculators.worked import WorkedExample, worked_examples

__all__ = [
    "GROUPS",
    "Calculator",
    "Check",
    "Input",
    "Kind",
    "Result",
    "Table",
    "Value",
    "WorkedExample",
    "arch_form_request",
    "calculate",
    "calculator",
    "defaults_by",
    "document_from_texts",
    "list_calculators",
    "worked_examples",
]
