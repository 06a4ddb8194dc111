"""How long a session lasts, and which PINs are too easy."""

import datetime

import pytest

from labcases.people.rules import Limits, ending_of, pin_fault

MORNING = datetime.datetime(2026, 3, 2, 8, 0, tzinfo=datetime.UTC)
LIMITS = Limits(idle=datetime.timedelta(minutes=60), longest=datetime.timedelta(hours=12))


@pytest.mark.parametrize(
    ("seen", "now", "ending"),
    [
        (0, 0, ""),
        (0, 59.9, ""),
        (0, 60, "idle"),
        (700, 719.9, ""),
        (719, 720, "longest"),
        (0, 800, "longest"),
    ],
)
def test_a_session_ends_when_it_lies_idle_and_at_the_latest_after_its_longest_time(seen, now, ending):
    minutes = [MORNING + datetime.timedelta(minutes=each) for each in (seen, now)]
    assert ending_of(began_at=MORNING, seen_at=minutes[0], now=minutes[1], limits=LIMITS) == ending


@pytest.mark.parametrize(
    "pin",
    ["0000", "77777777", "1234", "4321", "8901", "3210", "1212", "123123", "45454", "1987", "2031", "2580"],
)
def test_a_pin_with_a_pattern_is_refused(pin):
    assert "first that anybody would try" in pin_fault(pin)


@pytest.mark.parametrize("pin", ["", "123", "123456789", "12a4", "-123", " 4712", "٤٧١٢", "４７１２"])
def test_a_pin_is_four_to_eight_plain_digits(pin):
    assert "four to eight digits" in pin_fault(pin)


@pytest.mark.parametrize("pin", ["4712", "90317", "604718", "18273645"])
def test_a_pin_without_a_pattern_is_taken(pin):
    assert pin_fault(pin) == ""
