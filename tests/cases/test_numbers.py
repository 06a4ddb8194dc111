"""Case numbers: the check character, what is forgiven when one is typed, and what never leads to another case."""

import string

import pytest
from stdnum.iso7064 import mod_37_36

from labcases.cases.numbers import CaseNumberError, case_number, next_running, parse_case_number

ALPHABET = string.digits + string.ascii_uppercase
READ_ALIKE = {"O": "0", "I": "1"}


def given_out(year, count):
    """The first so many numbers of a year, as the laboratory gives them out."""
    running, numbers = 0, []
    while len(numbers) < count:
        running = next_running(year, running)
        numbers.append(case_number(year, running))
    return numbers


def refused(text):
    try:
        parse_case_number(text)
    except CaseNumberError:
        return True
    return False


def test_the_check_character_is_that_of_the_standard():
    """ISO 7064 MOD 37,36 on the published example that python-stdnum carries (seen in its documentation)."""
    assert mod_37_36.calc_check_digit("A12425GABC1234002") == "M"
    assert mod_37_36.validate("A12425GABC1234002M") == "A12425GABC1234002M"


def by_hand(body):
    """MOD 37,36 worked step by step from its definition: P = 36; P = (P + a) mod 36, or 36; times 2 mod 37."""
    rest = 36
    for character in body:
        rest = ((rest + ALPHABET.index(character)) % 36 or 36) * 2 % 37
    return ALPHABET[(37 - rest) % 36]


def test_a_second_calculation_finds_the_same_check_character():
    assert by_hand("A12425GABC1234002") == "M"
    for running in range(1, 2000, 7):
        number = case_number(2026, running)
        assert number[-1] == by_hand(number[:-2].replace("-", ""))


def test_a_number_has_year_running_number_and_check_character():
    assert case_number(2026, 417) == "26-00417-D"
    assert case_number(2105, 1)[:9] == "05-00001-"
    assert case_number(2026, 99_999)[:9] == "26-99999-"


@pytest.mark.parametrize(
    "typed",
    [
        "26-00417-D",
        "2600417D",
        "26-00417-d",
        " 26 00417 d ",
        "26–00417–D",
        "26/00417/D",
        "２６-００４１７-Ｄ",
        "26-OO417-D",
        "26-oo4i7-d",
        "26\u200b-00417-D\n",
    ],
)
def test_spaces_dashes_case_and_letters_that_look_like_digits_are_forgiven(typed):
    assert parse_case_number(typed) == "26-00417-D"


@pytest.mark.parametrize(
    "typed",
    ["", "-", "D", "26-0041-D", "26-00417", "2600417", "26-0A417-D", "ELM-301", "9" * 400, "\x00", "٢٦"],
)
def test_what_cannot_be_a_number_is_refused_with_an_example(typed):
    with pytest.raises(CaseNumberError) as refusal:
        parse_case_number(typed)
    assert "26-00417-D" in refusal.value.message or "mistyped" in refusal.value.message


def test_a_wrong_check_character_says_that_something_is_mistyped():
    with pytest.raises(CaseNumberError, match="mistyped"):
        parse_case_number("26-00417-E")


def test_a_long_text_is_shown_cut_short():
    with pytest.raises(CaseNumberError) as refusal:
        parse_case_number("x" * 5000)
    assert len(refusal.value.message) < 150


@pytest.mark.parametrize("year", [2025, 2026, 2027, 2030, 2099])
def test_of_two_hundred_numbers_every_wrong_character_is_refused(year):
    tried = 0
    for number in given_out(year, 200):
        bare = number.replace("-", "")
        for place, right in enumerate(bare):
            for wrong in set(ALPHABET) - {right}:
                typed = bare[:place] + wrong + bare[place + 1 :]
                tried += 1
                if READ_ALIKE.get(wrong) == right:
                    assert parse_case_number(typed) == number
                else:
                    assert refused(typed), f"{typed} for {number}"
    assert tried == 200 * 8 * 35


@pytest.mark.parametrize("year", [2025, 2026, 2027, 2030, 2099])
def test_of_two_hundred_numbers_every_swap_of_neighbours_is_refused(year):
    tried = 0
    for number in given_out(year, 200):
        bare = number.replace("-", "")
        for place in range(len(bare) - 1):
            typed = bare[:place] + bare[place + 1] + bare[place] + bare[place + 2 :]
            if typed != bare:
                tried += 1
                assert refused(typed), f"{typed} for {number}"
    assert tried > 600


def test_numbers_that_a_swap_would_make_into_each_other_are_kept_back():
    """26-01101 and 26-01110 both fit their check character Z: the standard's arithmetic cannot tell them apart."""
    assert (case_number(2026, 1101)[-1], case_number(2026, 1110)[-1]) == ("Z", "Z")
    assert refused("26-01101-Z")
    assert refused("26-01110-Z")
    assert next_running(2026, 1100) > 1101


def test_no_number_ends_in_a_letter_that_looks_like_a_digit():
    assert case_number(2026, 1)[-1] == "O"
    assert next_running(2026, 0) == 2
    assert not {number[-1] for number in given_out(2026, 300)} & set("OI")


def test_numbers_run_on_without_repeating_and_read_back_as_themselves():
    numbers = given_out(2026, 500)
    assert len(set(numbers)) == 500
    assert numbers == sorted(numbers)
    assert [parse_case_number(number) for number in numbers] == numbers
