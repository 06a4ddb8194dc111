"""When a backup is due and which ones are kept; what counts as silent, old or full. No clock, no database."""

import datetime
from collections.abc import Callable, Iterable

SILENT_AFTER = datetime.timedelta(minutes=2)
OLD_AFTER = datetime.timedelta(days=2)
# A try that failed is repeated after a while, since what stood against it seldom goes away at once.
AGAIN_AFTER = datetime.timedelta(hours=1)
MOST_ATTEMPTS = 8
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
