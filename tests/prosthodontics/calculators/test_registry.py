"""The one list of calculators: what it says of itself, what it computes, and what it refuses."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from labcases.prosthodontics.calculators import (
    GROUPS,
    Kind,
    calculate,
    calculator,
    list_calculators,
    worked_examples,
)
from labcases.prosthodontics.errors import InputError, LabCasesError
from labcases.prosthodontics.specification.request import load_request

EVERY = list_calculators()
every_calculator = pytest.mark.parametrize("chosen", EVERY, ids=[each.name for each in EVERY])


def value_of(answer, name):
    return next(value["value"] for value in answer["values"] if value["name"] == name)


def test_names_are_unique_and_every_group_has_calculators():
    assert len({each.name for each in EVERY}) == len(EVERY)
    assert {each.group for each in EVERY} == set(GROUPS)


@every_calculator
def test_a_calculator_lists_every_input_with_its_unit_and_range(chosen):
    listed = json.loads(json.dumps(chosen.as_document()))
    assert listed["name"] == chosen.name
    for each in listed["inputs"]:
        assert each["label"]
        if each["kind"] in (Kind.NUMBER, Kind.COUNT, Kind.NUMBERS, Kind.COUNTS, Kind.ROWS):
            assert each["low"] < each["high"], each["name"]
        if each["kind"] == Kind.CHOICE:
            assert each["options"]
            assert each["required"] or each["default"] in each["options"]


@every_calculator
def test_every_example_gives_the_figures_from_outside(chosen):
    """Each check carries its own source."""
    example = next(each for each in worked_examples() if each.calculator is chosen)
    assert example.checked
    for checked in example.checked:
        assert checked.check.source.words
        assert checked.agrees, (checked.label, checked.computed, checked.check.figure)


@every_calculator
def test_every_answer_is_plain_json_with_steps_sources_and_units(chosen):
    answer = json.loads(json.dumps(calculate(chosen.name, chosen.example), allow_nan=False))
    assert answer["calculator"] == chosen.name
    assert answer["values"]
    assert answer["steps"] or answer["tables"]
    for value in answer["values"]:
        assert set(value) >= {"name", "label", "value", "unit"}
    names = [value["name"] for value in answer["values"]]
    assert len(set(names)) == len(names)


@every_calculator
def test_an_unknown_input_is_refused_by_name(chosen):
    with pytest.raises(InputError) as refusal:
        calculate(chosen.name, {**chosen.example, "shoe_size": 42})
    assert refusal.value.field == "shoe_size"


@every_calculator
def test_a_missing_input_is_refused_by_name(chosen):
    for each in chosen.inputs:
        if not each.required:
            continue
        document = {name: value for name, value in chosen.example.items() if name != each.name}
        with pytest.raises(InputError) as refusal:
            calculate(chosen.name, document)
        assert refusal.value.field == each.name


@every_calculator
@pytest.mark.parametrize(
    "wrong", [True, None, "1e2", "1_0", "abc", float("nan"), float("inf"), {}, "", [[]], 10**400]
)
def test_a_wrong_type_is_refused_in_one_line(chosen, wrong):
    numbers = [each for each in chosen.inputs if each.kind in (Kind.NUMBER, Kind.COUNT)]
    for each in numbers:
        with pytest.raises(InputError) as refusal:
            calculate(chosen.name, {**chosen.example, each.name: wrong})
        assert refusal.value.field.startswith(each.name)
        assert "\n" not in str(refusal.value)


@every_calculator
def test_a_figure_outside_its_range_is_refused_with_the_range(chosen):
    for each in chosen.inputs:
        if each.kind is not Kind.NUMBER:
            continue
        with pytest.raises(InputError) as refusal:
            calculate(chosen.name, {**chosen.example, each.name: each.high * 2 + 1})
        assert refusal.value.field == each.name
        assert f"{each.low:g} to {each.high:g}" in refusal.value.allowed


WILD = some.recursive(
    some.none()
    | some.booleans()
    | some.floats()
    | some.integers()
    | some.text(max_size=12)
    | some.floats(0, 100),
    lambda inner: some.lists(inner, max_size=4) | some.dictionaries(some.text(max_size=4), inner, max_size=3),
    max_leaves=6,
)


def outcome(name, document):
    try:
        return json.dumps(calculate(name, document), allow_nan=False)
    except LabCasesError as refusal:
        return str(refusal)


@settings(max_examples=300)
@given(data=some.data())
def test_any_document_is_answered_or_refused_in_one_line(data):
    chosen = data.draw(some.sampled_from(EVERY))
    names = some.sampled_from([each.name for each in chosen.inputs])
    changes = data.draw(some.dictionaries(names, WILD, max_size=3))
    assert outcome(chosen.name, {**chosen.example, **changes}).count("\n") == 0


@settings(max_examples=300)
@given(data=some.data())
def test_any_figures_within_the_ranges_are_answered_or_refused_in_one_line(data):
    chosen = data.draw(some.sampled_from(EVERY))
    document = dict(chosen.example)
    for each in chosen.inputs:
        if each.kind is Kind.NUMBER and data.draw(some.booleans()):
            document[each.name] = data.draw(some.floats(each.low, each.high))
        if each.kind is Kind.CHOICE and data.draw(some.booleans()):
            document[each.name] = data.draw(some.sampled_from(each.options))
    assert outcome(chosen.name, document).count("\n") == 0


def test_an_unknown_calculator_is_refused_with_the_list():
    with pytest.raises(InputError, match="lateral_setting"):
        calculator("horoscope")


@pytest.mark.parametrize("document", [None, [], "x", 3])
def test_what_is_no_object_is_refused(document):
    with pytest.raises(InputError, match="an object with any of"):
        calculate("lateral_setting", document)


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ('{"horizontal": 33}', "16.125"),
        ('{"horizontal": "33"}', "16.125"),
        ('{"horizontal": "22,5"}', "14.812"),
    ],
)
def test_numbers_of_a_file_and_typed_texts_are_read_alike(text, answer):
    assert value_of(calculate("lateral_setting", load_request(text)), "lateral") == answer


@pytest.mark.parametrize(
    "text", ['{"horizontal": 1e1}', '{"horizontal": "1.250"}', '{"horizontal": NaN}', '{"horizontal": "1_0"}']
)
def test_exponents_and_typed_thousands_in_a_file_are_refused(text):
    with pytest.raises(InputError) as refusal:
        calculate("lateral_setting", load_request(text))
    assert refusal.value.field == "horizontal"


def test_negative_zero_is_never_printed():
    answer = calculate("rim_plane", {"points": [[25, -45, 0], [-25, -45, 0], [0, 0, 1e-9]]})
    assert value_of(answer, "pitch") == "0.00"


def test_a_wrong_item_of_a_list_is_named_by_its_place():
    with pytest.raises(InputError) as refusal:
        calculate("count_chart", {"counts": [1, 2, 2.5]})
    assert refusal.value.field == "counts[2]"
    with pytest.raises(InputError) as refusal:
        calculate("rim_plane", {"points": [[1, 2, 3], [1, "x", 3], [1, 1, 1]]})
    assert refusal.value.field == "points[1][1]"
