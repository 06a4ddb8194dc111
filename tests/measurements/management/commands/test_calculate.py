import pytest

from labcases.prosthodontics.calculators import list_calculators
from tests.measurements.management.commands.computing import answer, figures, refusal, run


def test_the_list_names_every_calculator_with_inputs_units_and_ranges():
    listed = answer("calculate", "--list")
    assert [each["name"] for each in listed] == [each.name for each in list_calculators()]
    [gap] = [each for each in listed if each["name"] == "christensen_gap"]
    path = next(each for each in gap["inputs"] if each["name"] == "path")
    assert (path["unit"], path["low"], path["high"], path["required"]) == ("deg", 0, 80, True)


@pytest.mark.parametrize(
    ("name", "document", "figure", "value"),
    [
        # Published by Christensen, its sign derived: ρ 30, φ 22, p 6, a 88 give 1.978 degrees.
        ("christensen_gap", {"path": 30, "protrusion": 6, "balkwill": 22, "height": 88}, "angle", "1.978"),
        # Derived: 60 cm³ of stone at 0.30 with a powder density of 2.75.
        ("gypsum", {"volume": 60, "ratio": "0.30", "powder_density": 2.75}, "powder", "90.4"),
    ],
)
def test_a_calculator_answers_as_published_or_derived(name, document, figure, value):
    found = answer("calculate", name, "-", document=document)
    assert found["calculator"] == name
    assert figures(found)[figure] == value


@pytest.mark.parametrize(
    ("arguments", "text", "says"),
    [
        ((), "", "calculator: none named"),
        (("lateral_setting",), "", "file: none given"),
        (("nonsense", "-"), "{}", 'calculator: "nonsense" is not accepted'),
        (("lateral_setting", "-"), "{", 'document: "no JSON at line 1'),
        (("lateral_setting", "-"), '{"horizontal": 1e400}', "horizontal: "),
    ],
)
def test_a_slip_is_answered_with_one_line(arguments, text, says):
    assert says in refusal(run("calculate", *arguments, text=text))
