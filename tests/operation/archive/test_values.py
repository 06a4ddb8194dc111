import datetime
import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.operation.archive.values import CODECS, KINDS, alike, decoded, encoded

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)
VALUES = {
    "integer": st.integers(-(2**63), 2**63 - 1),
    "text": st.text(),
    "boolean": st.booleans(),
    "decimal": st.decimals(allow_nan=False, allow_infinity=False, places=4),
    "float": st.floats(allow_nan=False),
    "datetime": st.datetimes(timezones=st.timezones()),
    "date": st.dates(),
    "time": st.times(),
    "duration": st.timedeltas(),
    "binary": st.binary(),
    "uuid": st.uuids(),
    "json": JSON,
}


def through_a_line(kind, value):
    return decoded(kind, json.loads(json.dumps(encoded(kind, value), allow_nan=False)))


def test_every_kind_is_tried():
    assert VALUES.keys() == CODECS.keys() == KINDS.keys()


@given(st.data())
@pytest.mark.parametrize("kind", VALUES)
def test_a_value_comes_back_with_its_type(kind, data):
    try:
        value = data.draw(VALUES[kind])
        if kind == "datetime":
            value = value.astimezone(datetime.UTC)
    except OverflowError:  # the first and the last hours of the calendar have no moment in UTC
        return
    back = through_a_line(kind, value)
    assert type(back) is type(value)
    assert back == value
    assert alike(back, value)


@pytest.mark.parametrize("kind", CODECS)
def test_nothing_stays_nothing(kind):
    assert through_a_line(kind, None) is None


def test_a_decimal_keeps_the_places_it_was_written_with():
    assert str(through_a_line("decimal", Decimal("12.500"))) == "12.500"


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        ("integer", True),
        ("integer", "1"),
        ("integer", 1.0),
        ("text", 1),
        ("boolean", 1),
        ("decimal", "1e999999999"),
        ("decimal", "NaN"),
        ("decimal", 1.5),
        ("float", "1"),
        ("float", True),
        ("datetime", "2026-03-02T09:00:00"),
        ("datetime", "2026-03-02T09:00:00+01:00"),
        ("datetime", 5),
        ("date", "2026-02-29"),
        ("time", "25:00"),
        ("duration", "1"),
        ("binary", "not base64!"),
        ("binary", 3),
        ("uuid", "1234"),
        ("uuid", []),
    ],
)
def test_what_is_none_of_its_kind_is_refused(kind, value):
    with pytest.raises(ValueError, match=r"."):
        decoded(kind, value)


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        ("integer", Decimal(1)),
        ("integer", True),
        ("decimal", 1.5),
        ("decimal", Decimal("NaN")),
        ("datetime", datetime.datetime(2026, 3, 2)),  # noqa: DTZ001 that it has no zone is the point
        ("text", b"bytes"),
    ],
)
def test_a_value_of_another_type_is_not_written_down(kind, value):
    with pytest.raises(ValueError, match=r"."):
        encoded(kind, value)


def test_postgresqls_own_way_of_writing_a_number_in_json_is_the_same_number():
    assert alike({"a": [1e5, -0.0]}, {"a": [100000, 0]})
    assert not alike({"a": 1}, {"a": True})
    assert not alike({"a": 1.0}, {"a": True})
    assert not alike([1], [1, 2])
    assert not alike("1", 1)
