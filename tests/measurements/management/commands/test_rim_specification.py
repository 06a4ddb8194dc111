"""One rim's specification from a shell: a JSON object in, one out, with neither database nor settings."""

import json
import subprocess
import sys

import pytest

from tests.measurements.management.commands.computing import ROOT, answer, refusal, run

LIP = {"sulcus_to_papilla": 12.5, "papilla_to_resting_lip": 7.5, "incisal_display": 1.0}
PADS = {"retromolar_pad_height_left": 9.0, "retromolar_pad_height_right": 10.5}
COMMAND = "rim_specification"


def specified(**document):
    found = answer(COMMAND, "-", document=document)
    return {line["name"]: line for line in found["dimensions"]}


def height(**document):
    line = specified(arch="maxillary", **document)["anterior_height"]
    return line["target"], line["basis"]


def test_the_request_of_the_manual_gives_21_0_computed_with_its_limits_and_its_reason():
    request = {"arch": "maxillary", "measurements": LIP, "prescribed": {}, "standard": {}}
    found = answer(COMMAND, "-", document=request)
    assert (set(found), found["arch"]) == ({"arch", "dimensions", "notes"}, "maxillary")
    line = found["dimensions"][0]
    assert {name: line[name] for name in ("name", "target", "lower", "upper", "unit", "basis")} == {
        "name": "anterior_height",
        "target": "21.0",
        "lower": "20.0",
        "upper": "22.0",
        "unit": "mm",
        "basis": "computed",
    }
    assert line["source"]
    for figure in ("12.5", "7.5", "1.0", "21.0"):
        assert figure in line["why"]
    assert all(isinstance(note, str) for note in found["notes"])


def test_without_a_chairside_figure_the_lab_standard_holds():
    assert height() == ("22.0", "lab standard")


def test_a_prescribed_height_goes_before_a_computed_one():
    assert height(measurements=LIP, prescribed={"anterior_height": 25}) == ("25.0", "prescribed")


def test_the_standard_of_the_request_goes_before_the_delivered_one():
    assert height(standard={"anterior_height": 23}) == ("23.0", "lab standard")


def test_pad_heights_give_two_thirds_on_each_side():
    lines = specified(arch="mandibular", measurements=PADS)
    assert [lines[f"posterior_height_{side}"]["target"] for side in ("left", "right")] == ["6.0", "7.0"]


def test_the_lower_height_is_the_rest_of_the_space():
    """40.0 sulcus to sulcus less an upper rim of 21.0 leave 19.0 (derived)."""
    line = specified(
        arch="mandibular", measurements={"intersulcus_distance": 40, "opposing_anterior_height": 21}
    )["anterior_height"]
    assert (line["target"], line["basis"]) == ("19.0", "computed")


def test_a_comma_is_read_as_a_decimal_mark():
    assert height(measurements={**LIP, "sulcus_to_papilla": "12,5"}) == ("21.0", "computed")


def test_a_file_says_the_same_as_standard_input(tmp_path):
    request = {"arch": "maxillary", "measurements": LIP}
    file = tmp_path / "request.json"
    file.write_text(json.dumps(request), encoding="utf-8")
    assert answer(COMMAND, str(file)) == answer(COMMAND, "-", document=request)


REFUSED = ['"1e2"', '"1_0"', '"1.250"', "NaN", "true", "null"]


@pytest.mark.parametrize("value", REFUSED)
def test_what_is_no_figure_is_refused_by_field_value_and_what_is_allowed(value):
    text = f'{{"arch": "maxillary", "measurements": {{"sulcus_to_papilla": {value}}}}}'
    words = refusal(run(COMMAND, "-", text=text))
    assert "measurements.sulcus_to_papilla" in words
    assert value in words
    assert "allowed: 2 to 30 mm" in words


NOT_ACCEPTED = [
    (
        '{"arch": "maxillary", "measurements": {"sulcus": 12}}',
        ["measurements", '"sulcus"', "sulcus_to_papilla"],
    ),
    ('{"arch": "upper"}', ["arch", '"upper"', "maxillary, mandibular"]),
    ("{}", ["arch", "null", "maxillary, mandibular"]),
    ('{"arch": "maxillary", "colour": 1}', ["document", "colour", "measurements"]),
    (
        '{"arch": "maxillary", "prescribed": {"anterior_height": 99}}',
        ["prescribed.anterior_height", "99", "5 to 45"],
    ),
    ('{"arch": "maxillary", "standard": []}', ["standard", "a list", "an object"]),
    ("[1]", ["document", "a list", "an object"]),
    ("not json", ["document", "no JSON"]),
    ("", ["document", "no JSON"]),
]


@pytest.mark.parametrize(("text", "words"), NOT_ACCEPTED)
def test_unknown_names_wrong_types_and_impossible_values_leave_one_line_and_status_2(text, words):
    line = refusal(run(COMMAND, "-", text=text))
    for word in words:
        assert word in line


def test_a_file_that_is_not_there_is_named_in_one_line():
    assert "no-such-file.json" in refusal(run(COMMAND, "no-such-file.json"))


def test_no_database_is_asked_even_where_one_is_named(tmp_path):
    """The address leads to a folder that does not exist: whoever opens that database fails."""
    done = subprocess.run(
        [sys.executable, "manage.py", COMMAND, "-"],
        cwd=ROOT,
        env={"DATABASE_URL": f"sqlite:///{tmp_path}/nowhere/none.sqlite3"},
        input=json.dumps({"arch": "maxillary", "measurements": LIP}),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["dimensions"][0]["target"] == "21.0"
