"""Worked examples compare what is computed now with figures from outside, and would show a difference."""

from dataclasses import replace

import pytest

from labcases.prosthodontics.calculators import list_calculators, worked_examples
from labcases.prosthodontics.calculators.definition import Check
from labcases.prosthodontics.calculators.sources import DERIVED
from labcases.prosthodontics.calculators.worked import worked_example
from labcases.prosthodontics.provenance import Provenance


def test_every_calculator_has_a_worked_example_in_the_order_of_the_page():
    assert [each.calculator for each in worked_examples()] == list(list_calculators())


def test_a_figure_that_disagrees_with_its_source_is_shown_as_such():
    chosen = next(each for each in list_calculators() if each.name == "lateral_setting")
    wrong = replace(chosen, checks=(Check("lateral", 16.2, 0.01, DERIVED),))
    checked = worked_example(wrong).checked[0]
    assert (checked.computed, checked.agrees) == ("16.125", False)


def test_every_check_says_whether_its_figure_is_published_or_derived():
    classes = {check.source.provenance for each in list_calculators() for check in each.checks}
    assert classes == {Provenance.SEEN, Provenance.RECALLED, Provenance.DERIVED}


@pytest.mark.parametrize("name", ["arch_curve", "christensen_gap", "freeway_space", "gypsum"])
def test_the_steps_show_the_numbers_of_the_example(name):
    example = next(each for each in worked_examples() if each.calculator.name == name)
    numbers = [value for value in example.calculator.example.values() if isinstance(value, int | float)]
    assert numbers
    assert any(f"{number:g}" in " ".join(example.result.steps) for number in numbers)
