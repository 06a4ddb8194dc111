"""From the appointment backwards: when each stage must be finished and begun at the latest, and due days."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from labcases.planning.scheduling.work import Job, Work
from labcases.planning.working_time import WorkingCalendar


@dataclass(frozen=True)
class Window:
    """The last moments for one work of a job that is to be ready in time, if hands are free throughout."""

    work: Work
    latest_start: datetime.datetime
    latest_finish: datetime.datetime

    def slack_minutes(self, now: datetime.datetime, calendar: WorkingCalendar) -> float:
        """Working minutes left before it must be begun; negative if that moment has passed."""
        return calendar.minutes_between(now, self.latest_start)


def windows(job: Job, calendar: WorkingCalendar) -> tuple[Window, ...]:
    """Backwards from the job's due time through hands-on minutes and waits; empty if it has no due time.

    Raises NoWorkingTime if a piece that is done in one go fits no opening.
    """
    if job.due is None:
        return ()
    found = []
    ready = job.due
    for work in reversed(job.works):
        finish: datetime.datetime | None = None
        for piece in reversed(work.pieces):
            wait = datetime.timedelta(minutes=piece.wait_after)
            end = ready.astimezone(datetime.UTC) - wait
            take = calendar.take_minutes if piece.may_rest else calendar.take_in_one_go
            ready = take(end, piece.minutes)
            finish = finish or calendar.add_minutes(ready, piece.minutes)
        assert finish is not None
        found.append(Window(work, ready, finish))
    return tuple(reversed(found))


def due_days(
    last: datetime.date, lab_days: Sequence[int], calendar: WorkingCalendar
) -> tuple[datetime.date, ...]:
    """Due days of stages that follow each other, the last one due on `last`.

    Each stage is due as many working days before the next one as the laboratory allows itself for the next.
    """
    days = [calendar.working_day(last, forward=False)]
    for count in reversed(lab_days[1:]):
        days.append(calendar.shift(days[-1], -count))
    return tuple(reversed(days))
