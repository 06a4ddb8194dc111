import datetime
from dataclasses import dataclass

from labcases.planning.working_time.openings import Opening, without
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words


@dataclass(frozen=True)
class Absence:
    """Days on which somebody is away, first and last included; with `hours`, only those of each day."""

    first: datetime.date
    last: datetime.date
    hours: Opening | None = None

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise InputError(
                "absence", f"{self.first} to {self.last}", Words("a last day not before the first")
            )

    def cut(self, day: datetime.date, openings: tuple[Opening, ...]) -> tuple[Opening, ...]:
        """What is left of a day's openings."""
        if not self.first <= day <= self.last:
            return openings
        return without(openings, self.hours) if self.hours else ()
