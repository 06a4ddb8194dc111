"""Reading and writing a length, angle or percentage as people type it.

One reader for forms, imports, the command line and the programming interface, so that "12,5" is 12.5
everywhere. What it can't read for certain it refuses; it never guesses.

Decided here, because the rule "comma or point, at most two decimals" leaves it open:

* ``.5`` and ``,5`` are 0.5; ``5.`` is refused, since it is most often an entry that was broken off;
* leading zeros are harmless (``007.5`` is 7.5) within the three digits before the mark;
* a space is dropped at the ends, after a sign and before the unit, never inside the number: ``12, 5`` may be
  two readings and ``1 250`` a thousand;
* a plus sign is taken only where a negative value makes sense, since elsewhere it may mean "5 more";
* full-width digits and marks are the same characters from another keyboard and are taken. Raised, circled,
  fraction and "digit with full stop" characters also fold to plain digits under NFKC but mean something else
  (5² is not 52): refused, as are the digits of other scripts and every invisible character.
"""

import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal

from labcases.prosthodontics.errors import InputError, LabCasesError, one_line, shown
from labcases.prosthodontics.wording import Words, figure

__all__ = ["MillimetreError", "format_millimetres", "parse_millimetres"]

LONGEST_TEXT = 40
MINUS = "\N{MINUS SIGN}"
_NUMBER = re.compile(r"(?P<sign>[+-]?) *(?P<whole>[0-9]*)(?:[.,](?P<part>[0-9]*))?")
_UNITS = {"mm": ("mm",), "deg": ("deg", "°"), "%": ("%",), "min": ("min",), "count": ()}
# By unit: in "… is too long", "… is missing" and "write …" other languages bend the words, so each says all three.
_TOO_LONG = {
    "mm": Words("it is too long for a number of millimetres"),
    "deg": Words("it is too long for a number of degrees"),
    "%": Words("it is too long for a percentage"),
    "min": Words("it is too long for a number of minutes"),
    "count": Words("it is too long for a whole number"),
}
_MISSING = {
    "mm": Words("a number of millimetres is missing"),
    "deg": Words("a number of degrees is missing"),
    "%": Words("a percentage is missing"),
    "min": Words("a number of minutes is missing"),
    "count": Words("a whole number is missing"),
}
_WRITE = {
    "mm": Words("write a number of millimetres, such as 12.5"),
    "deg": Words("write a number of degrees, such as 12.5"),
    "%": Words("write a percentage, such as 12.5"),
    "min": Words("write a number of minutes, such as 12.5"),
    "count": Words("write a whole number, such as 12.5"),
}
_IN_DIGITS = {
    "mm": Words("write a number of millimetres in digits with a comma or a point, such as 12.5"),
    "deg": Words("write a number of degrees in digits with a comma or a point, such as 12.5"),
    "%": Words("write a percentage in digits with a comma or a point, such as 12.5"),
    "min": Words("write a number of minutes in digits with a comma or a point, such as 12.5"),
    "count": Words("write a whole number in digits with a comma or a point, such as 12.5"),
}
_SAME_CHARACTER = ("<wide>", "<narrow>", "<font>")


class MillimetreError(InputError):
    """A text that isn't a number as the laboratory writes it; the message is one plain sentence."""

    def __init__(self, text: object, reason: str) -> None:
        super().__init__("figure", text, reason)
        self.reason = reason
        self.message = one_line(Words("{text} can't be read: {reason}.").of(text=shown(text), reason=reason))
        self.args = (text, reason)


def parse_millimetres(text: str, *, negative: bool = False, unit: str = "mm") -> Decimal:
    """The number that was typed, with the decimals that were typed; raises `MillimetreError`.

    `unit` is one of mm, deg, %, min and count: the unit that may follow the number. A count has no decimals.
    """
    if not isinstance(text, str):
        raise MillimetreError(text, _WRITE[unit])
    if len(text) > LONGEST_TEXT:
        raise MillimetreError(text, _TOO_LONG[unit])
    folded = "".join(_folded(character, text) for character in text)
    return _read(_without_unit(folded.strip(" "), unit), text, negative=negative, unit=unit)


def format_millimetres(
    value: Decimal | None, *, places: int | None = None, decimal_mark: str | None = None
) -> str:
    """The number as it is printed, without its unit; nothing for None. Halves round away from zero.

    Without `places` it has one decimal, or as many as it needs to be exact. Negatives carry U+2212. The decimal mark
    is that of the reader's language unless one is given.
    """
    if value is None:
        return ""
    if not value.is_finite():
        raise LabCasesError(f"{value} is not a figure that can be printed")
    size = abs(value) if places is None else abs(_rounded(value, places))
    digits = f"{size:f}" if places is not None else _one_decimal_or_more(size)
    marked = figure(digits) if decimal_mark is None else digits.replace(".", decimal_mark)
    return f"{MINUS if value < 0 and size else ''}{marked}"


def _rounded(value: Decimal, places: int) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def _one_decimal_or_more(size: Decimal) -> str:
    whole, _, part = f"{size:f}".partition(".")
    return f"{whole}.{part.rstrip('0') or '0'}"


def _folded(character: str, text: str) -> str:
    """One typed character as plain text; spaces of every width become the plain one."""
    if character in "\t\r\n" or unicodedata.category(character) == "Zs":
        return " "
    if character == MINUS:
        return "-"
    if character.isascii() or character == "°":
        return character.lower()
    if character == "㎜" or unicodedata.decomposition(character).startswith(_SAME_CHARACTER):
        return unicodedata.normalize("NFKC", character).lower()
    raise MillimetreError(text, Words("it holds a character that is not a plain digit, comma, point or sign"))


def _without_unit(folded: str, unit: str) -> str:
    for word in _UNITS[unit]:
        if folded.endswith(word):
            return folded.removesuffix(word).rstrip(" ")
    return folded


def _read(number: str, text: str, *, negative: bool, unit: str) -> Decimal:
    found = _NUMBER.fullmatch(number)
    if found is None or not (found["whole"] or found["part"]):
        raise MillimetreError(text, _why_not(number, unit))
    sign, whole, part = found["sign"], found["whole"], found["part"]
    _refuse_shape(text, sign=sign, whole=whole, part=part, negative=negative, unit=unit)
    size = Decimal(f"{whole or '0'}.{part}" if part else whole)
    return -size if sign == "-" and size else size


def _refuse_shape(text: str, *, sign: str, whole: str, part: str | None, negative: bool, unit: str) -> None:
    if sign and not negative:
        raise MillimetreError(text, Words("a sign makes no sense here; write the number alone"))
    if len(whole) > 3:
        raise MillimetreError(text, Words("more than three digits stand before the decimal mark"))
    if part == "":
        raise MillimetreError(text, Words("a digit is missing after the decimal mark"))
    if part and unit == "count":
        raise MillimetreError(text, Words("a count has no decimals"))
    if part and len(part) > 2:
        raise MillimetreError(text, Words("it has more than two decimals, and a thousands mark is not used"))


def _why_not(number: str, unit: str) -> str:
    if not number.strip("+-., "):
        return _MISSING[unit]
    if re.fullmatch(r"[+-]? *[0-9.,]+", number):
        return Words("there is more than one decimal mark, and a thousands mark is not used")
    if re.search(r"[0-9.,] +[0-9.,]", number):
        return Words("a space stands inside the number; write one number, such as 12.5")
    if re.fullmatch(r"[+-]? *[0-9.,]+e[+-]?[0-9]+", number):
        return Words("an exponent is not used; write the number out, such as 12.5")
    return _IN_DIGITS[unit]
