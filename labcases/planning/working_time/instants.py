"""From the wall clock to instants, through changes to and from summer time."""

import datetime
from collections.abc import Iterable

from labcases.planning.working_time.openings import Opening

UTC = datetime.UTC
DAY = datetime.timedelta(days=1)
# Every zone of the world lies within UTC+14 and UTC-12; no zone changes its offset twice within this window.
EAST, WEST = datetime.timedelta(hours=15), datetime.timedelta(hours=13)

Span = tuple[datetime.datetime, datetime.datetime]


def spans_on(day: datetime.date, openings: Iterable[Opening], zone: datetime.tzinfo) -> tuple[Span, ...]:
    """The instants (UTC, half-open spans, in order) at which the wall clock lies within the openings.

    An hour that the clock skips has no instants, an hour that it shows twice counts twice: a span's length
    is the time that a person really has.
    """
    midnight = datetime.datetime.combine(day, datetime.time(), UTC)
    begin, end = midnight - EAST, midnight + DAY + WEST
    before, after = _offset(begin, zone), _offset(end, zone)
    if before == after:
        return tuple(_shifted(midnight, opening, before) for opening in openings)
    change = _change_between(begin, end, zone, before)
    spans = [(s, min(e, change)) for s, e in (_shifted(midnight, o, before) for o in openings)]
    spans += [(max(s, change), e) for s, e in (_shifted(midnight, o, after) for o in openings)]
    return _joined(span for span in spans if span[0] < span[1])


def _offset(instant: datetime.datetime, zone: datetime.tzinfo) -> datetime.timedelta:
    return instant.astimezone(zone).utcoffset() or datetime.timedelta()


def _shifted(midnight: datetime.datetime, opening: Opening, offset: datetime.timedelta) -> Span:
    return (
        midnight + datetime.timedelta(minutes=opening.start) - offset,
        midnight + datetime.timedelta(minutes=opening.end) - offset,
    )


def _change_between(
    begin: datetime.datetime, end: datetime.datetime, zone: datetime.tzinfo, before: datetime.timedelta
) -> datetime.datetime:
    low, high = 0, int((end - begin).total_seconds())
    while high - low > 1:
        middle = (low + high) // 2
        if _offset(begin + datetime.timedelta(seconds=middle), zone) == before:
            low = middle
        else:
            high = middle
    return begin + datetime.timedelta(seconds=high)


def _joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Spans in order, those that touch made one: work does not pause where the clock is set."""
    joined: list[Span] = []
    for start, end in sorted(spans):
        if joined and joined[-1][1] == start:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return tuple(joined)
