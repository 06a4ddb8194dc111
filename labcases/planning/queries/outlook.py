"""What becomes of the open work as it stands, kept until anything that it depends on is another.

A plan is worked out for the last full five minutes, not for the second in which it is asked for: so it is a function of
stored rows and of a moment that all share, and two processes that kept it apart from each other say the same.
"""

import datetime
import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from labcases.planning.queries.basis import Basis, read_basis
from labcases.planning.queries.load import DAYS, Load, load_of
from labcases.planning.scheduling.explaining import Explanation, explain
from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.plans import Plan

STEP = 5  # minutes, of which an hour has a whole number in every zone
Asked = tuple[Basis, datetime.datetime, int]


@dataclass(frozen=True, eq=False)
class Outlook:
    """Work given away is where it was given; the rest is projected, earliest due first."""

    load: Load
    plan: Plan

    @cached_property
    def explanations(self) -> dict[int, Explanation]:
        """By the key of the job."""
        return {explanation.job.key: explanation for explanation in explain(self.plan)}


class Shelf:
    """Keeps the last outlook with all that was asked for it. Whoever asks for the same at once waits for it."""

    def __init__(self, make: Callable[[Basis, datetime.datetime, int], Outlook]) -> None:
        self._make = make
        self._lock = threading.Lock()
        self._kept: tuple[Asked, Outlook] | None = None

    def get(self, asked: Asked) -> Outlook:
        with self._lock:
            if self._kept is None or self._kept[0] != asked:
                self._kept = asked, self._make(*asked)
            return self._kept[1]


def outlook(*, now: datetime.datetime, days: int = DAYS) -> Outlook:
    """Everything it depends on is read each time; it is worked out anew only if any of that has changed."""
    return _shelf.get((read_basis(now=now), full_step(now), days))


def worked_out(basis: Basis, moment: datetime.datetime, days: int = DAYS) -> Outlook:
    load = load_of(basis, now=moment, days=days, as_given=True)
    return Outlook(load, earliest_due_first(load.problem))


def full_step(now: datetime.datetime) -> datetime.datetime:
    now = now.astimezone(datetime.UTC)
    return now.replace(minute=now.minute - now.minute % STEP, second=0, microsecond=0)


_shelf = Shelf(worked_out)
