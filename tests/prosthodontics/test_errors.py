import copy
import pickle

import pytest

from labcases.prosthodontics.errors import InputError, LabCasesError, shown
from labcases.prosthodontics.millimetres import MillimetreError


def test_the_one_root_carries_its_sentence() -> None:
    error = LabCasesError("The case is on hold.")
    assert error.message == str(error) == "The case is on hold."


def test_an_input_error_names_field_value_and_what_is_allowed() -> None:
    error = InputError("anterior_height", "1e2", "5 to 45 mm")
    assert str(error) == 'anterior_height: "1e2" is not accepted; allowed: 5 to 45 mm'
    assert (error.field, error.value, error.allowed) == ("anterior_height", "1e2", "5 to 45 mm")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, "null"),
        (True, "true"),
        (False, "false"),
        (12.5, "12.5"),
        (float("nan"), "NaN"),
        (float("-inf"), "-Infinity"),
        ("a\nb", '"a\\u000ab"'),
        ("\u202e5", '"\\u202e5"'),
        ("\ud800", '"\\ud800"'),
        ({"a": 1}, "an object"),
        ([1], "a list"),
    ],
)
def test_a_value_is_shown_on_one_line_as_a_file_would_have_it(value: object, text: str) -> None:
    assert shown(value) == text


def test_a_number_too_long_to_write_is_described() -> None:
    assert shown(10**5_000) == "a number of more than a hundred digits"


def test_nothing_that_comes_from_outside_makes_the_line_long_or_breaks_it() -> None:
    error = InputError("f\n" * 5_000, "v\r" * 5_000, "a\nb")
    assert len(str(error)) < 1_000
    assert str(error).isprintable()


@pytest.mark.parametrize(
    "error",
    [
        LabCasesError("plain"),
        InputError("field", 3, "less"),
        MillimetreError("1e2", "an exponent is not used"),
    ],
)
def test_an_error_survives_copying_between_processes(error: LabCasesError) -> None:
    for twin in (pickle.loads(pickle.dumps(error)), copy.copy(error)):
        assert type(twin) is type(error)
        assert str(twin) == str(error)
