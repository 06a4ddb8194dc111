import pytest

from labcases.prosthodontics.calculators import calculate, calculator, defaults_by, list_calculators
from labcases.prosthodontics.standard import SCHOOL_CHOICES, Schools

FIRST = {choice.name: choice.options[0][0] for choice in SCHOOL_CHOICES}
LAST = {choice.name: choice.options[-1][0] for choice in SCHOOL_CHOICES}


def named(document):
    return {value["name"]: value["value"] for value in document["values"]}


@pytest.mark.parametrize("schools", [Schools(), Schools(**FIRST), Schools(**LAST)])
def test_every_default_is_one_that_its_calculator_takes(schools):
    known = {each.name for each in list_calculators()}
    for name, defaults in defaults_by(schools).items():
        assert name in known
        chosen = calculator(name)
        assert set(defaults) <= {each.name for each in chosen.inputs}
        assert calculate(name, {**chosen.example, **defaults})["calculator"] == name


@pytest.mark.parametrize(
    ("choice", "name", "input_name"),
    [
        ("arch_correction", "rim_outline", "corrected"),
        ("papilla_reference", "rim_outline", "papilla_reference"),
        ("conformity_rule", "conformity", "rule"),
        ("repeatability", "reading_uncertainty", "repeatability"),
        ("freeway", "freeway_space", "high"),
        ("condylar_triangle", "bonwill_height", "arm"),
        ("condylar_average", "lateral_setting", "horizontal"),
        ("balkwill_angle", "christensen_gap", "balkwill"),
        ("protrusive_record", "condylar_path", "protrusion"),
        ("tooth_numbering", "tooth_number", "system"),
        ("polymer_ratio", "polymer", "ratio"),
        ("curing_cycle", "curing", "cycle"),
        ("gypsum_ratio", "gypsum", "ratio"),
    ],
)
def test_a_choice_between_schools_moves_its_default(choice, name, input_name):
    first = defaults_by(Schools(**{choice: FIRST[choice]}))[name].get(input_name)
    last = defaults_by(Schools(**{choice: LAST[choice]}))[name].get(input_name)
    assert first != last


def test_the_measured_triangle_is_as_high_as_computed_elsewhere():
    """Arms 103.3, base 99.6: 90.503 mm (derived)."""
    assert defaults_by(Schools(condylar_triangle="103.3"))["condylar_path"]["height"] == pytest.approx(
        90.503, abs=0.005
    )


def test_a_laboratorys_scatter_stands_in_for_a_single_reading():
    single = {"readings": [22.0], "instrument": "digital_caliper"}
    careful = named(calculate("reading_uncertainty", {**single, "repeatability": 0.1}))
    usual = named(calculate("reading_uncertainty", single))
    assert float(careful["standard_uncertainty"]) < float(usual["standard_uncertainty"])
