"""When a backup is due and which ones are kept; what counts as silent, old, full or behind. No clock, no database."""

import datetime
import math
from collections.abc import Callable, Iterable

from labcases.prosthodontics.wording import Words

SILENT_AFTER = datetime.timedelta(minutes=2)
OLD_AFTER = datetime.timedelta(days=2)
# A try that failed is repeated after a while, since what stood against it seldom goes away at once.
AGAIN_AFTER = datetime.timedelta(hours=1)
MOST_ATTEMPTS = 8
# A list from a replica shows what colleagues did up to so many seconds ago, never longer ago.
MOST_BEHIND = 10.0
AWAY, NO_REPLICA, UP_TO_DATE = Words("does not answer"), Words("is no replica"), Words("up to date")
BEHIND = Words("{number} bytes and {seconds} seconds behind")
MEGABYTE = 1024**2
LITTLE_SPACE = 1024 * MEGABYTE
NO_SPACE = 64 * MEGABYTE


def day_of_backup(now: datetime.datetime, *, hour: int) -> datetime.date:
    """The day whose backup is due at a local time: before `hour` it is still the day before's."""
    return now.date() if now.hour >= hour else now.date() - datetime.timedelta(days=1)


def backups_to_keep(
    moments: Iterable[datetime.datetime], *, daily: int, weekly: int, monthly: int
) -> set[datetime.datetime]:
    """The newest of each of the last days, weeks and months that have one, and always the newest of all.

    Days without a backup do not count, so that a site that stood still for a year keeps what it had.
    """
    newest_first = sorted(moments, reverse=True)
    kept = set(newest_first[:1])
    for count, period in ((daily, _day), (weekly, _week), (monthly, _month)):
        kept |= _newest_of_each(newest_first, count, period)
    return kept


def _newest_of_each(
    newest_first: list[datetime.datetime], count: int, period: Callable[[datetime.datetime], tuple[int, ...]]
) -> set[datetime.datetime]:
    found: dict[tuple[int, ...], datetime.datetime] = {}
    for moment in newest_first:
        found.setdefault(period(moment), moment)
    return set(list(found.values())[:count])


def _day(moment: datetime.datetime) -> tuple[int, ...]:
    return moment.year, moment.month, moment.day


def _week(moment: datetime.datetime) -> tuple[int, ...]:
    return moment.isocalendar()[:2]


def _month(moment: datetime.datetime) -> tuple[int, ...]:
    return moment.year, moment.month


def space_in_a_word(free: int) -> str:
    """How much room a disk with so many free bytes has left: enough, little or none."""
    if free < NO_SPACE:
        return "none"
    return "little" if free < LITTLE_SPACE else "enough"


class Distance:
    """How long ago, at the most, a replica stood where its primary stood, from positions in the primary's log.

    The times that the two servers note of commits would not do: a quiet primary's last one is old, and a replica that
    lost its primary knows of no later one. So a position is noted here and held until the replica has passed it.
    """

    def __init__(self) -> None:
        self._level_at = -math.inf
        self._noted: tuple[int, float] | None = None

    def seconds(self, *, end: int, replayed: int, now: float) -> float:
        """`end` is where the primary's log ended at `now` (steady clock) or later; `replayed` was asked after that."""
        noted = self._noted
        if noted and replayed >= noted[0]:
            self._level_at, noted = max(self._level_at, noted[1]), None
        if replayed >= end:
            self._level_at, noted = max(self._level_at, now), None
        self._noted = noted or (end, now)
        return now - self._level_at


def standing_in_words(behind: int | None, *, seconds: float) -> str:
    """Where a replica stands by the bytes it has still to replay; None is a server that replays nothing."""
    if behind is None:
        return NO_REPLICA
    return BEHIND.of(number=behind, seconds=max(0, round(seconds))) if behind > 0 else UP_TO_DATE
