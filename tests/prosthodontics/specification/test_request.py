"""One JSON document in, one out: the form that other programs rely on."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.specification.request import load_request, specification_request

LIP = '"sulcus_to_papilla": 12.5, "papilla_to_resting_lip": 7.5, "incisal_display": 1.0'
BASES = ("prescribed", "computed", "lab standard")


def answer(text: str) -> dict[str, Any]:
    """Through JSON and back, as another program would have it."""
    found: dict[str, Any] = json.loads(json.dumps(specification_request(load_request(text))))
    return found


def line(text: str, name: str) -> dict[str, Any]:
    return next(each for each in answer(text)["dimensions"] if each["name"] == name)


def refusal(text: str | bytes) -> str:
    with pytest.raises(InputError) as refused:
        specification_request(load_request(text))
    words = str(refused.value)
    assert len(words.splitlines()) == 1
    assert words.isprintable()
    return words


def height(text: str) -> tuple[str, str]:
    found = line(text, "anterior_height")
    return found["target"], found["basis"]


def test_lip_line_display_and_sulcus_give_a_computed_height() -> None:
    text = f'{{"arch": "maxillary", "measurements": {{{LIP}}}, "prescribed": {{}}, "standard": {{}}}}'
    assert height(text) == ("21.0", "computed")


def test_no_chairside_figure_gives_the_lab_standard() -> None:
    assert height('{"arch": "maxillary"}') == ("22.0", "lab standard")


def test_a_prescribed_height_is_prescribed() -> None:
    text = f'{{"arch": "maxillary", "measurements": {{{LIP}}}, "prescribed": {{"anterior_height": 25}}}}'
    assert height(text) == ("25.0", "prescribed")


def test_pad_heights_give_two_thirds_on_each_side() -> None:
    pads = '"retromolar_pad_height_left": 9.0, "retromolar_pad_height_right": 10.5'
    text = f'{{"arch": "mandibular", "measurements": {{{pads}}}}}'
    assert line(text, "posterior_height_left")["target"] == "6.0"
    assert line(text, "posterior_height_right")["target"] == "7.0"


def test_the_rest_of_the_space_gives_the_lower_front() -> None:
    space = '"intersulcus_distance": 40, "opposing_anterior_height": 21.25'
    text = f'{{"arch": "mandibular", "measurements": {{{space}}}}}'
    assert height(text) == ("18.75", "computed")


def test_a_comma_in_a_text_is_a_decimal_mark() -> None:
    text = f'{{"arch": "maxillary", "measurements": {{{LIP.replace("12.5", json.dumps("12,5"))}}}}}'
    assert height(text) == ("21.0", "computed")


@pytest.mark.parametrize(
    "value",
    ['"1e2"', '"1_0"', '"1.250"', "NaN", "true", "null", "1e2", "1.250", "Infinity", "-Infinity", '"NaN"',
     "[12.5]", '{"value": 12.5}', '""', '"½"', "-3", "99", "1.999999", "9" * 5_000],
)  # fmt: skip
def test_what_is_no_figure_is_refused_by_field_value_and_range(value: str) -> None:
    words = refusal(f'{{"arch": "maxillary", "measurements": {{"sulcus_to_papilla": {value}}}}}')
    assert words.startswith("measurements.sulcus_to_papilla: ")
    assert "allowed: 2 to 30 mm" in words
    if value.strip('"').isalnum() and len(value) < 12:
        assert value in words


@pytest.mark.parametrize("value", [float("nan"), True, None, 10**30, 0.1 + 0.2])
def test_a_document_that_is_no_text_is_checked_as_strictly(value: object) -> None:
    with pytest.raises(InputError, match="sulcus_to_papilla"):
        specification_request({"arch": "maxillary", "measurements": {"sulcus_to_papilla": value}})


def test_a_document_that_is_no_text_gives_the_same_answer() -> None:
    plain = {"arch": "maxillary", "measurements": json.loads(f"{{{LIP}}}")}
    assert specification_request(plain) == answer(json.dumps(plain))


@pytest.mark.parametrize(
    ("text", "field", "named"),
    [
        ("{}", "arch", "null"),
        ('{"arch": "upper"}', "arch", '"upper"'),
        ('{"arch": 1}', "arch", "1"),
        ('{"arch": ["maxillary"]}', "arch", "a list"),
        ('{"arch": "maxillary", "teeth": {}}', "document", '"teeth"'),
        ('{"arch": "maxillary", "measurements": {"lip": 1}}', "measurements", '"lip"'),
        ('{"arch": "maxillary", "measurements": {"vent": 22}}', "measurements", '"vent"'),
        ('{"arch": "maxillary", "measurements": null}', "measurements", "null"),
        ('{"arch": "maxillary", "prescribed": []}', "prescribed", "a list"),
        ('{"arch": "mandibular", "prescribed": {"labial_offset": 6}}', "prescribed", '"labial_offset"'),
        ('{"arch": "maxillary", "prescribed": {"anterior_height": 60}}', "prescribed.anterior_height", "60"),
        ('{"arch": "maxillary", "standard": {"anterior_height": null}}', "standard.anterior_height", "null"),
        ('{"arch": "maxillary", "standard": {"anterior_width": {}}}', "standard.anterior_width", "null"),
        (
            '{"arch": "maxillary", "standard": {"anterior_height": {"target": 22, "minus": -1}}}',
            "standard.anterior_height.minus",
            "-1",
        ),
        ('{"arch": "maxillary", "standard": {"labial_offset": {"x": 1}}}', "standard.labial_offset", '"x"'),
        ('{"arch": "maxillary", "arch": "mandibular"}', "arch", "mandibular"),
        ('{"measurements": {"incisal_display": 1, "incisal_display": 2}}', "incisal_display", "2"),
        ("", "document", "line 1"),
        ("{", "document", "line 1"),
        ("[]", "document", "a list"),
        ("null", "document", "null"),
        ("3", "document", "3"),
        ('{"arch": "maxillary"} {}', "document", "column 23"),
        ("[" * 90_000, "document", "brackets"),
        ('{"a":' * 15_000, "document", "brackets"),
        ("x" * 100_001, "document", "100001"),
    ],
)  # fmt: skip
def test_a_document_that_cannot_be_used_is_refused_by_field_and_value(
    text: str, field: str, named: str
) -> None:
    words = refusal(text)
    assert words.startswith((f"{field}: ", f"{field}.target: "))
    assert named in words.partition(" is not accepted")[0]
    assert "; allowed: " in words


def test_bytes_are_read_as_utf_8_with_or_without_a_mark() -> None:
    assert load_request(b'\xef\xbb\xbf{"arch": "maxillary"}') == {"arch": "maxillary"}
    assert load_request('\ufeff{"arch": "maxillary"}') == {"arch": "maxillary"}
    assert "UTF-8" in refusal(b"\xff\xfe{}")


def test_a_target_alone_keeps_the_delivered_tolerance() -> None:
    found = line('{"arch": "maxillary", "standard": {"anterior_height": 21}}', "anterior_height")
    assert (found["target"], found["lower"], found["upper"], found["basis"]) == (
        "21.0",
        "20.0",
        "22.0",
        "lab standard",
    )


def test_a_standard_may_bring_its_own_tolerance() -> None:
    text = (
        '{"arch": "maxillary", "standard": {"anterior_height": {"target": 21, "minus": 0.5, "plus": "1,25"}}}'
    )
    found = line(text, "anterior_height")
    assert (found["lower"], found["upper"]) == ("20.5", "22.25")


def test_a_standard_may_give_the_lower_height_that_has_no_average() -> None:
    found = line('{"arch": "mandibular", "standard": {"posterior_height_left": 7}}', "posterior_height_left")
    assert (found["target"], found["lower"], found["upper"]) == ("7.0", "6.0", "8.0")


def test_a_line_in_words_has_no_target_but_its_wording() -> None:
    for name in ("pad_level", "posterior_height_left"):
        found = line('{"arch": "mandibular"}', name)
        assert found["target"] is None
        assert found["wording"].startswith("Two thirds")


def test_the_schools_that_were_used_stand_among_the_notes() -> None:
    assert any("retromolar pad" in note for note in answer('{"arch": "mandibular"}')["notes"])


def test_every_line_carries_the_parts_that_programs_rely_on() -> None:
    found = answer('{"arch": "maxillary"}')
    assert found["arch"] == "maxillary"
    for each in found["dimensions"]:
        assert {"name", "target", "lower", "upper", "unit", "basis", "source", "why"} <= set(each)
        assert each["basis"] in BASES


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.floats()
    | st.integers()
    | st.text(max_size=6)
    | st.sampled_from(["maxillary", "12,5"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["arch", "measurements", "prescribed", "standard", "anterior_height", "target", "minus", "x"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=8,
)


@given(JSON)
def test_any_document_is_answered_or_refused_in_words(document: object) -> None:
    for given_document in (document, load_request(json.dumps(document))):
        try:
            said = str(specification_request(given_document)["arch"])
        except InputError as refused:
            said = str(refused)
        assert said.isprintable()


@given(st.text(max_size=40) | st.binary(max_size=40))
def test_any_text_is_loaded_or_refused_in_words(text: str | bytes) -> None:
    try:
        load_request(text)
        said = "loaded"
    except InputError as refused:
        said = str(refused)
    assert said.isprintable()
