import random

import pytest

from labcases.prosthodontics.errors import LabCasesError
from labcases.tickets.codes import (
    ALPHABET,
    LENGTH,
    QUIET_ZONE,
    CodeError,
    groups,
    looks_like_a_code,
    new_code,
    parse_code,
    scan_address,
    scan_mark,
)

CODE = "FMHLETTEN7UB7PM7GIITCDBTCP"
URL = "https://cases.example.test"


def test_a_code_holds_130_bits():
    assert len(ALPHABET) ** LENGTH == 2**130


def test_codes_are_of_the_alphabet_and_never_the_same():
    codes = {new_code() for _ in range(2000)}
    assert len(codes) == 2000
    assert all(len(code) == LENGTH and set(code) <= set(ALPHABET) for code in codes)


def test_every_letter_of_the_alphabet_comes_up_about_as_often_as_the_others():
    """2,000 codes hold 52,000 letters, 1,625 of each on average; four standard deviations are 159."""
    letters = "".join(new_code() for _ in range(2000))
    assert all(abs(letters.count(letter) - 1625) < 200 for letter in ALPHABET)


def test_a_code_is_read_aloud_in_groups_of_four():
    assert groups(CODE) == ("FMHL", "ETTE", "N7UB", "7PM7", "GIIT", "CDBT", "CP")


@pytest.mark.parametrize(
    "typed",
    [
        CODE,
        CODE.lower(),
        " ".join(groups(CODE)),
        "-".join(groups(CODE)).lower(),
        f"  {CODE}\n",
        "FMHL\u2011ETTE\u2013N7UB 7PM7\u00a0GIIT CDBT CP",
        f"HTTPS://CASES.EXAMPLE.TEST/T/{CODE}",
        f"https://cases.example.test/t/{CODE.lower()}/",
        f"http://127.0.0.1:8000/T/{CODE}",
        "".join(chr(ord(c) + 0xFEE0) for c in CODE),
    ],
)
def test_a_code_is_understood_however_it_comes(typed):
    assert parse_code(typed) == CODE
    assert looks_like_a_code(typed)


def test_a_zero_and_an_eight_can_only_be_letters():
    assert parse_code("0" + CODE[1:-1] + "8") == "O" + CODE[1:-1] + "B"


def test_a_one_may_be_two_letters_and_is_asked_about():
    with pytest.raises(CodeError, match="type I or L"):
        parse_code("1" + CODE[1:])


@pytest.mark.parametrize(
    "typed", ["", CODE[:-1], CODE + "A", "26-00417-K", CODE[:-1] + "!", "9" + CODE[1:], "/T/", "A" * 5000]
)
def test_what_is_no_code_is_refused_in_words(typed):
    with pytest.raises(CodeError) as refused:
        parse_code(typed)
    assert len(refused.value.message) < 140
    assert not looks_like_a_code(typed)


def test_random_texts_never_become_a_code_by_chance(rng: random.Random):
    for _ in range(5000):
        text = "".join(
            chr(rng.choice((rng.randrange(32, 127), rng.randrange(0x2FFF)))) for _ in range(rng.randrange(60))
        )
        try:
            code = parse_code(text)
        except CodeError:
            continue
        assert len(code) == LENGTH
        assert set(code) <= set(ALPHABET)


def test_the_address_is_in_capitals():
    assert scan_address(CODE, public_url=URL) == f"HTTPS://CASES.EXAMPLE.TEST/T/{CODE}"
    assert scan_address(CODE, public_url=URL + "/") == f"HTTPS://CASES.EXAMPLE.TEST/T/{CODE}"


@pytest.mark.parametrize(
    "url", ["https://cases.example.test/?a=1", "https://ümlaut.test", "https://a_b.test"]
)
def test_an_address_that_capitals_cannot_hold_is_refused(url):
    with pytest.raises(LabCasesError, match="public address"):
        scan_address(CODE, public_url=url)


@pytest.mark.parametrize("url", [URL, "http://127.0.0.1:8000", "https://" + "cases." * 12 + "example.test"])
def test_modules_are_at_least_six_tenths_of_a_millimetre(url):
    mark = scan_mark(CODE, public_url=url)
    assert mark.side / mark.modules >= 0.6 - 1e-9


def test_the_mark_is_at_level_h_with_its_quiet_zone():
    """57 characters at level H need version 5, which has 37 modules a side (ISO/IEC 18004, recalled)."""
    mark = scan_mark(CODE, public_url=URL)
    assert len(mark.content) == 57 - 2
    assert mark.modules == 37 + 2 * QUIET_ZONE
    starts = [int(piece.split(" ")[0]) for piece in mark.path.split("M")[1:]]
    assert min(starts) == QUIET_ZONE
