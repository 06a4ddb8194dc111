"""Values of columns as JSON and back, so that a row is the same again whichever database it came from."""

import base64
import datetime
import math
import re
import uuid
from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Any

KINDS = {
    "integer": {
        "AutoField",
        "BigAutoField",
        "SmallAutoField",
        "IntegerField",
        "BigIntegerField",
        "SmallIntegerField",
        "PositiveIntegerField",
        "PositiveBigIntegerField",
        "PositiveSmallIntegerField",
    },
    "text": {
        "CharField",
        "TextField",
        "SlugField",
        "FileField",
        "FilePathField",
        "GenericIPAddressField",
    },
    "boolean": {"BooleanField"},
    "decimal": {"DecimalField"},
    "float": {"FloatField"},
    "datetime": {"DateTimeField"},
    "date": {"DateField"},
    "time": {"TimeField"},
    "duration": {"DurationField"},
    "binary": {"BinaryField"},
    "uuid": {"UUIDField"},
    "json": {"JSONField"},
}
KIND_OF = {field: kind for kind, fields in KINDS.items() for field in fields}
A_DECIMAL = re.compile(r"-?\d{1,400}(\.\d{1,400})?")
MICROSECOND = datetime.timedelta(microseconds=1)


def encoded(kind: str, value: Any) -> Any:
    """The value as JSON can carry it. A value of another type than its column's raises ValueError."""
    if value is None:
        return None
    type_, encode, _ = CODECS[kind]
    if not isinstance(value, type_) or (isinstance(value, bool) and kind in {"integer", "float"}):
        raise ValueError(f"{type(value).__name__} in a column of kind {kind}")
    return encode(value)


def decoded(kind: str, value: Any) -> Any:
    """The value as the column takes it; ValueError if it is none of its kind."""
    if value is None:
        return None
    try:
        return CODECS[kind][2](value)
    except (TypeError, AttributeError, ArithmeticError) as error:
        raise ValueError(f"not a value of kind {kind}") from error


def alike(one: Any, other: Any) -> bool:
    """Whether two values are the same. PostgreSQL keeps a JSON number in its own way of writing, 1e5 as 100000."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(alike(*pair) for pair in zip(one, other, strict=True))
    if isinstance(one, memoryview) or isinstance(other, memoryview):
        return bytes(one) == bytes(other)
    if isinstance(one, float) or isinstance(other, float):
        return _same_number(one, other)
    return type(one) is type(other) and one == other


def _same_number(one: Any, other: Any) -> bool:
    if not {type(one), type(other)} <= {int, float}:
        return False
    return float(one) == float(other) or (math.isnan(one) and math.isnan(other))


def _of(type_: type) -> Callable[[Any], Any]:
    def take(value: Any) -> Any:
        if type(value) is not type_:
            raise ValueError(f"not of type {type_.__name__}")
        return value

    return take


def _decimal_text(value: Decimal) -> str:
    if not value.is_finite():
        raise ValueError(f"{value} is no number")
    return f"{value:f}"


def _decimal(text: str) -> Decimal:
    if not A_DECIMAL.fullmatch(text):
        raise ValueError("not a decimal number")
    return Decimal(text)


def _float_json(value: float) -> float | str:
    return value if math.isfinite(value) else str(value)


def _float(value: float | str) -> float:
    if isinstance(value, bool) or (isinstance(value, str) and value not in {"nan", "inf", "-inf"}):
        raise ValueError("not a number")
    return float(value)


def _moment_text(value: datetime.datetime) -> str:
    if value.tzinfo is None:
        raise ValueError("a moment without a time zone")
    return value.astimezone(datetime.UTC).isoformat()


def _moment(text: str) -> datetime.datetime:
    value = datetime.datetime.fromisoformat(text)
    if value.utcoffset() != datetime.timedelta(0):
        raise ValueError("not a moment in UTC")
    return value.astimezone(datetime.UTC)


def _bytes_text(value: bytes | memoryview) -> str:
    return base64.b64encode(value).decode("ascii")


def _bytes(text: str) -> bytes:
    return base64.b64decode(text, validate=True)


def _as_is(value: Any) -> Any:
    return value


# What a value is, how it is written, how it is read.
CODECS: dict[str, tuple[Any, Callable[[Any], Any], Callable[[Any], Any]]] = {
    "integer": (int, _as_is, _of(int)),
    "text": (str, _as_is, _of(str)),
    "boolean": (bool, _as_is, _of(bool)),
    "decimal": (Decimal, _decimal_text, _decimal),
    "float": (int | float, _float_json, _float),
    "datetime": (datetime.datetime, _moment_text, _moment),
    "date": (datetime.date, datetime.date.isoformat, datetime.date.fromisoformat),
    "time": (datetime.time, datetime.time.isoformat, datetime.time.fromisoformat),
    "duration": (datetime.timedelta, lambda span: span // MICROSECOND, lambda n: _of(int)(n) * MICROSECOND),
    "binary": (bytes | memoryview, _bytes_text, _bytes),
    "uuid": (uuid.UUID, str, uuid.UUID),
    "json": (object, _as_is, _as_is),
}


def encoded_row(kinds: Iterable[str], row: Iterable[Any]) -> list[Any]:
    return [encoded(kind, value) for kind, value in zip(kinds, row, strict=True)]


def decoded_row(kinds: Iterable[str], row: Iterable[Any]) -> list[Any]:
    return [decoded(kind, value) for kind, value in zip(kinds, row, strict=True)]
