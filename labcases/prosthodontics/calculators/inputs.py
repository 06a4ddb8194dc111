"""What a calculator takes: names, units and ranges, and the reading of one document against them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, tzinfo
from decimal import Decimal
from enum import StrEnum
from math import inf, isfinite
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import MillimetreError, parse_millimetres
from labcases.prosthodontics.specification.request import NumberText
from labcases.prosthodontics.wording import Words

LONGEST_SERIES = 1000
LONGEST_TEXT = 60_000
_PLAIN = re.compile(r"-?[0-9]{1,7}(\.[0-9]{1,9})?")
_TYPED = re.compile(r"-?[0-9]{1,7}([.,][0-9]{1,6})?")
_MAYBE_THOUSANDS = re.compile(r"-?[1-9][0-9]{0,2}[.,][0-9]{3}")
_BENCH_UNITS = ("mm", "deg", "%", "min")


class Kind(StrEnum):
    """What an input holds."""

    NUMBER = "number"
    COUNT = "count"
    NUMBERS = "list of numbers"
    COUNTS = "list of counts"
    ROWS = "list of lists of numbers"
    CHOICE = "choice"
    FLAG = "yes or no"
    TEXT = "text"
    MOMENT = "date and time"


_BOUNDS = {
    Kind.NUMBER: Words("{low:g} to {high:g}{unit}"),
    Kind.COUNT: Words("a whole number, {low:g} to {high:g}{unit}"),
    Kind.NUMBERS: Words("a list of numbers, each {low:g} to {high:g}{unit}"),
    Kind.COUNTS: Words("a list of counts, each {low:g} to {high:g}{unit}"),
    Kind.ROWS: Words("a list of lists of numbers, each {low:g} to {high:g}{unit}"),
}


@dataclass(frozen=True)
class Input:
    """One input: `low` and `high` bound every number in it; no default and not required: may be left out."""

    name: str
    label: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    default: object = None
    required: bool = True
    kind: Kind = Kind.NUMBER
    options: tuple[str, ...] = ()

    @property
    def allowed(self) -> str:
        """What may be given, in words."""
        if self.kind is Kind.CHOICE:
            return ", ".join(self.options)
        if self.kind is Kind.FLAG:
            return Words("true or false")
        if self.kind is Kind.MOMENT:
            return Words("date and time such as 2026-11-25T17:30, with or without an offset")
        if self.kind is Kind.TEXT:
            return Words("a text of at most {longest} characters").of(longest=LONGEST_TEXT)
        unit = f" {self.unit}" if self.unit else ""
        return _BOUNDS[self.kind].of(low=self.low, high=self.high, unit=unit)

    def as_document(self) -> dict[str, object]:
        """The input ready for JSON."""
        return {
            "name": self.name,
            "label": self.label,
            "kind": self.kind.value,
            "unit": self.unit,
            "low": self.low,
            "high": self.high,
            "default": self.default,
            "required": self.required,
            "options": list(self.options),
        }


def number(
    name: str,
    label: str,
    unit: str,
    low: float,
    high: float,
    *,
    default: float | None = None,
    optional: bool = False,
) -> Input:
    """A number with its unit and range; required unless it has a default or is optional."""
    return Input(name, label, unit, low, high, default, default is None and not optional)


def count(
    name: str, label: str, low: int, high: int, *, default: int | None = None, optional: bool = False
) -> Input:
    """A whole number."""
    return Input(name, label, "", low, high, default, default is None and not optional, Kind.COUNT)


def series(
    name: str,
    label: str,
    unit: str,
    low: float,
    high: float,
    *,
    kind: Kind = Kind.NUMBERS,
    optional: bool = False,
) -> Input:
    """A list of numbers or counts, or a list of such lists."""
    return Input(name, label, unit, low, high, None, not optional, kind)


def choice(name: str, label: str, options: Iterable[str], *, default: str | None = None) -> Input:
    """One of some words."""
    return Input(
        name, label, default=default, required=default is None, kind=Kind.CHOICE, options=tuple(options)
    )


def flag(name: str, label: str, *, default: bool = False) -> Input:
    """Yes or no."""
    return Input(name, label, default=default, required=False, kind=Kind.FLAG)


@dataclass(frozen=True)
class Given:
    """The values that a calculator computes from, read and within range; `uncertain`: standard u by name."""

    values: Mapping[str, object]
    uncertain: Mapping[str, float] = field(default_factory=dict)

    def has(self, name: str) -> bool:
        """Whether the input has a value, given or default."""
        return self.values.get(name) is not None

    def number(self, name: str) -> float:
        """The number of a required input, or of one with a default."""
        value = self.values[name]
        assert isinstance(value, float)
        return value

    def maybe(self, name: str) -> float | None:
        """The number of an optional input."""
        return self.number(name) if self.has(name) else None

    def count(self, name: str) -> int:
        """A whole number."""
        return int(self.number(name))

    def numbers(self, name: str) -> list[float]:
        """A list of numbers, empty where none was given."""
        value = self.values.get(name) or []
        assert isinstance(value, list)
        return value

    def counts(self, name: str) -> list[int]:
        """A list of whole numbers."""
        return [int(value) for value in self.numbers(name)]

    def rows(self, name: str) -> list[list[float]]:
        """A list of lists of numbers."""
        value = self.values.get(name) or []
        assert isinstance(value, list)
        return value

    def text(self, name: str) -> str:
        """A text or a choice."""
        value = self.values[name]
        assert isinstance(value, str)
        return value

    def flag(self, name: str) -> bool:
        """Yes or no."""
        return bool(self.values[name])

    def moment(self, name: str) -> datetime:
        """A date and time as given; aware only where an offset was."""
        value = self.values[name]
        assert isinstance(value, datetime)
        return value


def read_document(document: object, inputs: Iterable[Input]) -> Given:
    """The values of a document. InputError for unknown, missing, wrong or impossible ones.

    A number may stand alone or as {"value": 68, "u": 0.5} with its standard uncertainty.
    """
    known = {each.name: each for each in inputs}
    if not isinstance(document, Mapping):
        raise InputError(
            "document", document, Words("an object with any of: {names}").of(names=", ".join(known))
        )
    for name in document:
        if name not in known:
            raise InputError(
                str(name), document[name], Words("one of the inputs {names}").of(names=", ".join(known))
            )
    values: dict[str, object] = {}
    uncertain: dict[str, float] = {}
    for name, each in known.items():
        if name not in document:
            values[name] = _absent(each)
            continue
        given = document[name]
        if each.kind is Kind.NUMBER and isinstance(given, Mapping):
            given, uncertain[name] = _with_uncertainty(each, given)
        values[name] = _read(each, given)
    return Given(values, uncertain)


def _absent(each: Input) -> object:
    if each.required:
        raise InputError(each.name, None, Words("{allowed}; it is needed").of(allowed=each.allowed))
    if each.kind in (Kind.NUMBER, Kind.COUNT) and each.default is not None:
        return float(str(each.default))
    return each.default


def _with_uncertainty(each: Input, given: Mapping[object, object]) -> tuple[object, float]:
    if set(given) != {"value", "u"}:
        raise InputError(each.name, given, Words('a number, or an object of "value" and "u"'))
    u = _figure(f"{each.name}.u", given["u"], "", Words("a standard uncertainty of 0 or more"))
    if u < 0:
        raise InputError(f"{each.name}.u", given["u"], Words("0 or more"))
    return given["value"], u


def _read(each: Input, value: object) -> object:
    match each.kind:
        case Kind.NUMBER | Kind.COUNT:
            return _number(each, value, each.name)
        case Kind.NUMBERS | Kind.COUNTS:
            return _list(each, value, each.name)
        case Kind.ROWS:
            rows = _sequence(each, value, each.name)
            return [_list(each, row, f"{each.name}[{i}]") for i, row in enumerate(rows)]
        case Kind.FLAG:
            if not isinstance(value, bool):
                raise InputError(each.name, value, each.allowed)
            return value
        case Kind.CHOICE:
            if not isinstance(value, str) or value not in each.options:
                raise InputError(each.name, value, each.allowed)
            return value
        case Kind.TEXT:
            if not isinstance(value, str) or isinstance(value, NumberText) or len(value) > LONGEST_TEXT:
                raise InputError(each.name, value, each.allowed)
            return value
        case Kind.MOMENT:
            return _moment(each, value)


def _list(each: Input, value: object, where: str) -> list[float]:
    return [_number(each, item, f"{where}[{i}]") for i, item in enumerate(_sequence(each, value, where))]


def _sequence(each: Input, value: object, where: str) -> list[object]:
    if not isinstance(value, list | tuple) or not 1 <= len(value) <= LONGEST_SERIES:
        raise InputError(
            where,
            value,
            Words("{allowed}; 1 to {longest} of them").of(allowed=each.allowed, longest=LONGEST_SERIES),
        )
    return list(value)


def _number(each: Input, value: object, where: str) -> float:
    figure = _figure(where, value, each.unit, each.allowed)
    whole = each.kind in (Kind.COUNT, Kind.COUNTS)
    if whole and not figure.is_integer():
        raise InputError(where, value, each.allowed)
    if (each.low is not None and figure < each.low) or (each.high is not None and figure > each.high):
        raise InputError(where, value, each.allowed)
    return figure


def _figure(where: str, value: object, unit: str, allowed: str) -> float:
    """A JSON number as it stands; a typed text by the rules for typing that unit."""
    if isinstance(value, bool):
        raise InputError(where, value, allowed)
    if isinstance(value, NumberText):
        return _plain(where, value, allowed)
    if isinstance(value, str):
        return _typed(where, value, unit, allowed)
    if isinstance(value, int | float | Decimal):
        figure = float(value) if -1e9 < value < 1e9 else inf
        if isfinite(figure):
            return figure
    raise InputError(where, value, allowed)


def _plain(where: str, value: str, allowed: str) -> float:
    if not _PLAIN.fullmatch(value):
        raise InputError(
            where, value, Words("{allowed}, written out without an exponent").of(allowed=allowed)
        )
    return float(value)


def _typed(where: str, value: str, unit: str, allowed: str) -> float:
    if unit in _BENCH_UNITS:
        try:
            return float(parse_millimetres(value, negative=True, unit=unit))
        except MillimetreError as error:
            raise InputError(where, value, f"{allowed}: {error.reason}") from None
    text = value.strip().replace("−", "-")
    if not _TYPED.fullmatch(text):
        raise InputError(where, value, allowed)
    if _MAYBE_THOUSANDS.fullmatch(text):
        raise InputError(
            where,
            value,
            Words("{allowed}; three decimals may be thousands, so write fewer or more").of(allowed=allowed),
        )
    return float(text.replace(",", "."))


def _moment(each: Input, value: object) -> datetime:
    if not isinstance(value, str) or isinstance(value, NumberText) or len(value) > 40:
        raise InputError(each.name, value, each.allowed)
    try:
        moment = datetime.fromisoformat(value)
    except ValueError:
        raise InputError(each.name, value, each.allowed) from None
    if "T" not in value and " " not in value:
        raise InputError(each.name, value, each.allowed)
    if not 1990 <= moment.year <= 2200:
        raise InputError(each.name, value, Words("a year from 1990 to 2200"))
    return moment


def time_zone(name: str) -> tzinfo:
    """The zone of that name, such as Europe/Lisbon. UTC is known without the system's list of zones."""
    if name == "UTC":
        return UTC
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError("time_zone", name, Words("a zone name such as Europe/Lisbon or UTC")) from None
