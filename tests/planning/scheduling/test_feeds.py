import datetime
from zoneinfo import ZoneInfo

import vobject
from hypothesis import given
from hypothesis import strategies as st

from labcases.planning.scheduling.feeds import Entry, calendar_text

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime.datetime(2026, 3, 27, 9, 0, tzinfo=BERLIN)


def parsed(*entries: Entry) -> list[object]:
    text = calendar_text("Work of T1", entries, now=NOW).decode()
    calendar = vobject.readOne(text)
    assert calendar.version.value == "2.0"
    return list(getattr(calendar, "vevent_list", []))


def test_an_independent_reader_finds_what_was_written() -> None:
    start = datetime.datetime(2026, 3, 30, 8, 0, tzinfo=BERLIN)
    end = start + datetime.timedelta(hours=2)
    (event,) = parsed(
        Entry("26-00007-X-rims-1", "26-00007-X Occlusion rims", start, end, "Practice P1", True)
    )
    assert event.uid.value == "26-00007-X-rims-1"
    assert event.summary.value == "26-00007-X Occlusion rims"
    assert event.description.value == "Practice P1"
    assert event.dtstart.value == start
    assert event.dtend.value == end
    assert event.dtstamp.value == NOW
    assert event.transp.value == "OPAQUE"


def test_a_whole_day_is_a_date_without_a_clock() -> None:
    day = datetime.date(2026, 3, 29)
    (event,) = parsed(Entry("x", "Try-in", day, day + datetime.timedelta(days=1)))
    assert event.dtstart.value == day
    assert type(event.dtstart.value) is datetime.date
    assert event.transp.value == "TRANSPARENT"


def test_an_hour_shown_twice_by_the_clock_is_told_apart() -> None:
    first = datetime.datetime(2026, 10, 25, 2, 30, tzinfo=BERLIN, fold=0)
    second = first.replace(fold=1)
    one, other = parsed(Entry("1", "a", first, first), Entry("2", "b", second, second))
    assert other.dtstart.value - one.dtstart.value == datetime.timedelta(hours=1)


def test_lines_end_as_the_standard_asks_and_are_folded() -> None:
    """RFC 5545, 3.1: CRLF, at most 75 octets a line."""
    day = datetime.date(2026, 3, 29)
    text = calendar_text("n" * 100, [Entry("u", "ä" * 200, day, day)], now=NOW)
    assert text.endswith(b"\r\n")
    assert b"\n" not in text.replace(b"\r\n", b"")
    assert max(len(line) for line in text.split(b"\r\n")) <= 75


def test_an_empty_feed_is_a_calendar_all_the_same() -> None:
    assert parsed() == []


@given(st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=80))
def test_any_text_comes_back_as_it_was(text: str) -> None:
    day = datetime.date(2026, 3, 29)
    (event,) = parsed(Entry("u", text, day, day + datetime.timedelta(days=1)))
    assert event.summary.value == text
