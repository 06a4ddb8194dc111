"""The opening hours of a day and of a week, in minutes since midnight on the wall clock."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words

MINUTES_PER_DAY = 24 * 60


@dataclass(frozen=True, order=True)
class Opening:
    """From `start` up to, but not with, `end`: minutes since midnight, 0 to 1440."""

    start: int
    end: int

    def __post_init__(self) -> None:
        if not 0 <= self.start < self.end <= MINUTES_PER_DAY:
            raise InputError(
                "opening", str(self), Words("an opening that ends after it begins, within one day")
            )

    def __str__(self) -> str:
        return f"{clock(self.start)}–{clock(self.end)}"

    @property
    def minutes(self) -> int:
        return self.end - self.start

    @classmethod
    def at(cls, opens: datetime.time, closes: datetime.time) -> "Opening":
        """Midnight as a closing time means the end of the day."""
        return cls(minute_of(opens), minute_of(closes) or MINUTES_PER_DAY)


@dataclass(frozen=True)
class Week:
    """Seven days from Monday, each with its openings in order and apart from each other."""

    days: tuple[tuple[Opening, ...], ...]

    def __post_init__(self) -> None:
        if len(self.days) != 7:
            raise InputError("week", len(self.days), Words("seven days from Monday"))
        for openings in self.days:
            for one, following in pairwise(openings):
                if following.start < one.end:
                    raise InputError(
                        "week", f"{one}, {following}", Words("openings in order that do not overlap")
                    )

    @classmethod
    def of(cls, weekdays: Iterable[int], *openings: Opening) -> "Week":
        """The same openings on each of `weekdays` (Monday is 0)."""
        wanted = set(weekdays)
        return cls(tuple(openings if day in wanted else () for day in range(7)))

    @property
    def minutes(self) -> int:
        return sum(opening.minutes for openings in self.days for opening in openings)

    @property
    def mask(self) -> tuple[bool, ...]:
        return tuple(bool(openings) for openings in self.days)


def minute_of(time: datetime.time) -> int:
    return time.hour * 60 + time.minute


def clock(minute: int) -> str:
    return f"{minute // 60:02}:{minute % 60:02}"


def without(openings: Iterable[Opening], taken: Opening) -> tuple[Opening, ...]:
    """What is left of the openings when `taken` is cut out of them."""
    left = []
    for opening in openings:
        if opening.start < min(opening.end, taken.start):
            left.append(Opening(opening.start, min(opening.end, taken.start)))
        if max(opening.start, taken.end) < opening.end:
            left.append(Opening(max(opening.start, taken.end), opening.end))
    return tuple(left)


# A usual five-day week with a midday break (common practice, no source); a laboratory sets its own.
USUAL_WEEK = Week.of(range(5), Opening(8 * 60, 12 * 60), Opening(12 * 60 + 30, 16 * 60 + 30))
