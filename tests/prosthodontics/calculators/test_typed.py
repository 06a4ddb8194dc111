"""Fields of a form, as people fill them in."""

import pytest

from labcases.prosthodontics.calculators import calculate, calculator, document_from_texts
from labcases.prosthodontics.errors import InputError


def answer(name, **texts):
    result = calculate(name, document_from_texts(calculator(name), texts))
    return {value["name"]: value for value in result["values"]}


def test_a_typed_form_gives_the_same_answer_as_a_document():
    assert answer("lateral_setting", horizontal=" 22,5 ")["lateral"]["value"] == "14.812"


def test_empty_fields_take_their_defaults_and_foreign_ones_are_ignored():
    assert answer("christensen_gap", path="30", protrusion=" ", csrf="x")["angle"]["value"] == "1.978"


def test_readings_are_parted_by_spaces_semicolons_or_lines_and_keep_their_decimal_comma():
    for text in ("21,8 22,1 22,0", "21.8;22.1;22.0", "21,8\n22,1\n22,0\n"):
        assert answer("reading_uncertainty", readings=text)["mean"]["value"] == "21.967"


def test_a_list_of_points_has_one_line_for_each():
    text = "25 -45 0\n-25 -45 0\n0 0 -1.57\n"
    assert answer("rim_plane", points=text)["pitch"]["value"] == "2.00"


def test_a_flag_is_set_by_being_there():
    texts = {"arch_width": "60", "arch_depth": "45", "exponent": "0.8"}
    plain, corrected = answer("arch_form", **texts), answer("arch_form", corrected="on", **texts)
    assert float(corrected["arc_length"]["value"]) > float(plain["arc_length"]["value"]) + 2


def test_an_uncertainty_has_a_field_of_its_own():
    assert answer("lateral_setting", horizontal="30", horizontal_u="4")["lateral"]["u"] == "0.5000"


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("lateral_setting", {"horizontal": "1.250"}),
        ("gypsum", {"volume": "1.250"}),
        ("gypsum", {"volume": "60", "unit": "1,250"}),
        ("reading_uncertainty", {"readings": "21,8, 22,1"}),
        ("lateral_setting", {"horizontal": "30", "horizontal_u": "much"}),
    ],
)
def test_what_may_mean_another_number_is_refused(name, texts):
    with pytest.raises(InputError):
        answer(name, **texts)


def test_three_decimals_below_one_can_not_be_thousands():
    assert answer("gypsum", volume="60", ratio="0.301")["powder"]["value"] == "90.3"


@pytest.mark.parametrize(
    ("measured", "scale", "words"), [("97", "103.1", "Print at"), ("100.1", "99.9", "is true")]
)
def test_the_printed_bar_tells_the_scale_to_set(measured, scale, words):
    """Derived: 100 / measured."""
    result = calculate("printer_scale", {"measured": measured})
    assert result["values"][0]["value"] == scale
    assert words in result["steps"][1]
