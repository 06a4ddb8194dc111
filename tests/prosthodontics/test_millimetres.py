"""The one reader of figures: what it takes, what it refuses, and that it never gives a different number."""

import random
from collections.abc import Callable
from decimal import Decimal

import pytest

from labcases.prosthodontics.errors import InputError, LabCasesError
from labcases.prosthodontics.millimetres import MillimetreError, format_millimetres, parse_millimetres

WIDE = str.maketrans("0123456789.,", "０１２３４５６７８９．，")
NO_BREAK = "\N{NO-BREAK SPACE}"


def shortest(whole: str, part: str) -> str:
    return f"{whole}.{part.rstrip('0')}".rstrip(".")


SPELLINGS: dict[str, Callable[[str, str], str]] = {
    "point": lambda whole, part: f"{whole}.{part}",
    "comma": lambda whole, part: f"{whole},{part}",
    "as few decimals as possible": shortest,
    "few decimals, comma": lambda whole, part: shortest(whole, part).replace(".", ","),
    "spaces around": lambda whole, part: f"  {whole}.{part} ",
    "mm behind": lambda whole, part: f"{whole},{part}mm",
    "space and mm": lambda whole, part: f"{whole}.{part} mm",
    "capitals": lambda whole, part: f"{whole}.{part} MM",
    "full width": lambda whole, part: f"{whole},{part}".translate(WIDE),
    "no-break space": lambda whole, part: f"{whole},{part}{NO_BREAK}mm{NO_BREAK}",
    "leading zeros": lambda whole, part: f"{whole:0>3}.{part}",
    "one character for mm": lambda whole, part: f"{whole}.{part}㎜",
}


@pytest.mark.parametrize("spelling", SPELLINGS)
def test_every_hundredth_up_to_a_metre_is_read_as_itself(spelling: str, proof) -> None:
    spell = SPELLINGS[spelling]
    wrong = []
    for hundredths in range(100_000):
        whole, part = divmod(hundredths, 100)
        text = spell(str(whole), f"{part:02}")
        # Compared as a whole number of hundredths, a way that the reader doesn't use.
        if parse_millimetres(text) * 100 != hundredths:
            wrong.append(text)
    assert wrong == []
    proof("millimetres").reached(100_000, "texts read as themselves, or as a second reader does")


# A second reader, written from the rules alone and without the first one's means.
PLAIN = {ord("０") + digit: str(digit) for digit in range(10)} | {
    ord("．"): ".",
    ord("，"): ",",
    ord("－"): "-",
}
PLAIN |= {ord("＋"): "+", ord("−"): "-", ord("㎜"): "mm", ord("ｍ"): "m", ord("M"): "m"}
PLAIN |= dict.fromkeys(map(ord, f"{NO_BREAK}\N{IDEOGRAPHIC SPACE}\N{THIN SPACE}\t\n"), " ")


def second_reader(text: str, *, negative: bool) -> int | None:
    """The number in hundredths, or None where it must be refused."""
    rest = text.translate(PLAIN).strip(" ")
    if len(text) > 40:
        return None
    if rest.endswith("mm"):
        rest = rest[:-2].rstrip(" ")
    sign = 1
    if rest[:1] in ("+", "-") and rest:
        if not negative:
            return None
        sign = -1 if rest[0] == "-" else 1
        rest = rest[1:].lstrip(" ")
    if any(character not in "0123456789.," for character in rest):
        return None
    pieces = rest.replace(",", ".").split(".")
    if len(pieces) > 2 or len(pieces[0]) > 3 or pieces == [""]:
        return None
    decimals = pieces[1] if len(pieces) == 2 else "0"
    if len(decimals) not in (1, 2):
        return None
    return sign * (int(pieces[0] or "0") * 100 + int(decimals.ljust(2, "0")))


ALPHABET = [
    *"0123456789" * 3,
    *".,.,",
    *" -+",
    "mm",
    "m",
    "M",
    "e",
    "E",
    "_",
    "−",
    "–",
    "'",
    "’",
    "٣",
    "٫",
    "½",
    "²",
    "①",
]
ALPHABET += [
    "⒈",
    "🄁",
    "１",
    "５",
    "．",
    "，",
    "－",
    "＋",
    "㎜",
    "ｍ",
    "\u200b",
    "\u202e",
    "\ufeff",
    NO_BREAK,
    "\u3000",
    "\u2009",
]
ALPHABET += [
    "\t",
    "\n",
    "\0",
    "/",
    ":",
    "x",
    "inf",
    "nan",
    "\ud800",
    "۵",
    "५",
    "𝟝",
    "・",
    "cm",
    '"',
    "°",
    "%",
]


def random_text(rng: random.Random) -> str:
    if rng.random() < 0.5:
        return "".join(rng.choice(ALPHABET) for _ in range(rng.randint(0, 9)))
    # Half of them start from something right and are then spoiled, since that is where mistakes hide.
    text = list(
        f"{rng.randint(0, 1199)}{rng.choice('.,')}{rng.randint(0, 119)}{rng.choice(['', ' ', ' mm'])}"
    )
    for _ in range(rng.choice([0, 0, 1, 2])):
        text.insert(rng.randint(0, len(text)), rng.choice(ALPHABET))
    return "".join(text)


def read_in_hundredths(text: str, *, negative: bool) -> Decimal | None:
    try:
        return parse_millimetres(text, negative=negative) * 100
    except MillimetreError:
        return None


@pytest.mark.parametrize("negative", [False, True])
def test_other_texts_are_read_as_a_second_reader_reads_them_or_refused(
    rng: random.Random, negative: bool, proof
) -> None:
    texts = [random_text(rng) for _ in range(50_000)]
    expected = [second_reader(text.replace("𝟝", "5"), negative=negative) for text in texts]
    wrong = [
        (text, read, wanted)
        for text, wanted in zip(texts, expected, strict=True)
        if (read := read_in_hundredths(text, negative=negative)) != wanted
    ]
    assert wrong == []
    taken = sum(wanted is not None for wanted in expected)
    assert 5_000 < taken < 45_000, "the random texts must hold many of both kinds"
    proof("millimetres").reached(len(texts), "texts read as themselves, or as a second reader does")


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "mm", ".", ",", "-", "1.250", "1,250", "1.2.5", "1,5.2", "1.234,5", "1e2", "1E2",
        "1_0", "0x10", "NaN", "inf", "-Infinity", "true", "None", "5.", "5,", "1000", "0012", "1 250",
        "12, 5", "12 .5", "1 2", "12\n5", "½", "1½", "5²", "5₂", "①", "⒈5", "🄁5", "٣", "۵", "५", "12٫5",
        "12’5", "1'250", "12\u200b.5", "\u202e5.21", "12\ufeff5", "12·5", "12:5", "1/2", "–5", "--5",
        "5-", "+5", "-5", "−5", "5 cm", "5m", "mm5", "5 mm mm", "5%", "5°", "\ud800", "\0", "9" * 41,
    ],
)  # fmt: skip
def test_what_is_not_certain_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(MillimetreError) as refused:
        parse_millimetres(text)
    assert len(str(refused.value).splitlines()) == 1
    assert str(refused.value).isprintable()
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12,5", "12.5"),
        (".5", "0.5"),
        (",5", "0.5"),
        ("007.5", "7.5"),
        ("0", "0"),
        ("00", "0"),
        ("𝟏𝟐.𝟓", "12.5"),
        ("１２,５", "12.5"),
    ],
)
def test_what_is_certain_is_taken(text: str, value: str) -> None:
    assert parse_millimetres(text) == Decimal(value)


@pytest.mark.parametrize("text", ["-1.5", "−1,5", "－1.5", "- 1.5", " −1.5 mm"])
def test_every_kind_of_minus_is_taken_where_a_negative_value_makes_sense(text: str) -> None:
    assert parse_millimetres(text, negative=True) == Decimal("-1.5")


def test_a_plus_is_taken_only_where_a_sign_makes_sense() -> None:
    assert parse_millimetres("+1.5", negative=True) == Decimal("1.5")


def test_there_is_no_negative_zero() -> None:
    assert str(parse_millimetres("-0,0", negative=True)) == "0.0"


@pytest.mark.parametrize(
    ("text", "unit"), [("45°", "deg"), ("45 deg", "deg"), ("12 %", "%"), ("10 min", "min"), ("4", "count")]
)
def test_a_figure_may_carry_its_own_unit(text: str, unit: str) -> None:
    assert parse_millimetres(text, unit=unit) == int(text.split("°")[0].split(" ")[0])


@pytest.mark.parametrize(
    ("text", "unit"), [("45 mm", "deg"), ("45°", "mm"), ("3.5", "count"), ("3.0", "count"), ("10 mm", "min")]
)
def test_another_unit_is_refused(text: str, unit: str) -> None:
    with pytest.raises(MillimetreError):
        parse_millimetres(text, unit=unit)


@pytest.mark.parametrize("value", [None, True, 12.5, b"12.5", Decimal("12.5")])
def test_only_text_is_read(value: object) -> None:
    with pytest.raises(MillimetreError):
        parse_millimetres(value)  # type: ignore[arg-type]


def test_a_refusal_keeps_what_was_typed_and_why() -> None:
    with pytest.raises(InputError) as refused:
        parse_millimetres("1.250")
    assert refused.value.value == "1.250"
    assert str(refused.value) == (
        '"1.250" can\'t be read: it has more than two decimals, and a thousands mark is not used.'
    )


@pytest.mark.parametrize(
    ("value", "places", "mark", "text"),
    [
        ("21", None, ".", "21.0"),
        ("21.00", None, ".", "21.0"),
        ("5.51", None, ",", "5,51"),
        ("-0.04", None, ".", "−0.04"),
        ("0.125", 2, ".", "0.13"),
        ("-0.125", 2, ".", "−0.13"),
        ("-0.001", 1, ".", "0.0"),
        ("1E+2", None, ".", "100.0"),
        ("1E+2", 0, ".", "100"),
        ("0E-7", None, ".", "0.0"),
        ("2.5", 0, ".", "3"),
    ],
)
def test_a_figure_is_printed_exactly_or_rounded_half_up(
    value: str, places: int | None, mark: str, text: str
) -> None:
    assert format_millimetres(Decimal(value), places=places, decimal_mark=mark) == text


def test_no_figure_prints_nothing() -> None:
    assert format_millimetres(None) == ""


@pytest.mark.parametrize("value", ["NaN", "Infinity"])
def test_what_is_no_figure_is_not_printed(value: str) -> None:
    with pytest.raises(LabCasesError):
        format_millimetres(Decimal(value))


def test_what_is_printed_is_read_back_as_the_same_figure() -> None:
    for hundredths in range(-99_999, 100_000, 7):
        value = Decimal(hundredths) / 100
        for mark in ".,":
            assert parse_millimetres(format_millimetres(value, decimal_mark=mark), negative=True) == value
