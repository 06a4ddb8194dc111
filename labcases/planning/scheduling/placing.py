"""Placing work one after the other, each where it ends earliest: what turns an order into a plan."""

import sys
from collections.abc import Iterable
from dataclasses import dataclass, field

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.timeline import Axis, Bookings
from labcases.planning.scheduling.work import Job, Work

Spans = tuple[tuple[int, int], ...]
Step = tuple[Job, Work]


@dataclass
class Draft:
    """Work placed so far, in minutes since the plan's origin.

    `placed` maps a work's key to its person and its pieces' spans, `ends` a job's key to when it is ready as
    far as it is placed; `stuck` maps a job's key to the work that found no place. `cost` is the weighted
    working days of lateness of the jobs that are placed whole.
    """

    bench: Bench
    bookings: dict[int, Bookings] = field(init=False)
    placed: dict[int, tuple[int, Spans]] = field(default_factory=dict)
    ends: dict[int, int] = field(default_factory=dict)
    stuck: dict[int, Work] = field(default_factory=dict)
    cost: int = 0

    def __post_init__(self) -> None:
        self.bookings = {key: Bookings(axis) for key, axis in self.bench.axes.items()}

    @property
    def standing(self) -> tuple[int, int]:
        """What makes one draft better than another: less that finds no place, then less lateness."""
        return len(self.stuck), self.cost

    def copy(self) -> "Draft":
        twin = Draft(self.bench)
        twin.bookings = {key: bookings.copy() for key, bookings in self.bookings.items()}
        twin.placed, twin.ends, twin.stuck = dict(self.placed), dict(self.ends), dict(self.stuck)
        twin.cost = self.cost
        return twin


def place_in_order(bench: Bench, steps: Iterable[Step]) -> Draft:
    """Place work in the given order; a job's works must come in their own order."""
    draft = Draft(bench)
    for job, work in steps:
        if job.key not in draft.stuck:
            place(draft, job, work)
    draft.cost = sum(
        job.weight * bench.late_days(job, draft.ends[job.key])
        for job in bench.problem.jobs
        if job.key not in draft.stuck
    )
    return draft


def place_alone(bench: Bench, job: Job) -> Draft:
    """One job with all hands free."""
    draft = Draft(bench)
    for work in job.works:
        if job.key not in draft.stuck:
            place(draft, job, work)
    return draft


def place(draft: Draft, job: Job, work: Work) -> None:
    """Book the work with whoever ends it first, after what comes before it in its job."""
    ready = draft.ends.get(job.key, draft.bench.releases[job.key])
    if work.not_before is not None:
        ready = max(ready, draft.bench.minute(work.not_before))
    best_end: int | None = None
    chosen: tuple[int, list[int]] | None = None
    soonest: dict[Axis, int] = {}
    for key in draft.bench.candidates[work.key]:
        bookings = draft.bookings[key]
        if best_end is not None and best_end <= _soonest(bookings.axis, work, ready, soonest):
            continue
        found = _positions(bookings, work, ready, before=best_end)
        if found is not None:
            positions, best_end = found
            chosen = (key, positions)
    if chosen is None:
        draft.stuck[job.key] = work
        return
    _book(draft, job, work, *chosen)


def _soonest(axis: Axis, work: Work, ready: int, known: dict[Axis, int]) -> int:
    """When the work's last wait would be over on an axis with nothing booked: nobody who works by it ends it sooner."""
    if axis not in known:
        found = _positions(Bookings(axis), work, ready, before=None)
        known[axis] = found[1] if found else sys.maxsize
    return known[axis]


def _positions(
    bookings: Bookings, work: Work, ready: int, *, before: int | None
) -> tuple[list[int], int] | None:
    """Where the work's pieces fit best after `ready`, and when its last wait is over; None unless `before`."""
    positions = []
    for piece in work.pieces:
        position = bookings.find(ready, piece.minutes, may_rest=piece.may_rest)
        if position < 0:
            return None
        positions.append(position)
        ready = bookings.axis.end_time(position + piece.minutes) + piece.wait_after
        if before is not None and ready >= before:
            return None
    return positions, ready


def _book(draft: Draft, job: Job, work: Work, key: int, positions: list[int]) -> None:
    bookings = draft.bookings[key]
    axis = bookings.axis
    spans = []
    for piece, position in zip(work.pieces, positions, strict=True):
        bookings.book(position, piece.minutes)
        spans.append((axis.start_time(position), axis.end_time(position + piece.minutes)))
    draft.placed[work.key] = (key, tuple(spans))
    draft.ends[job.key] = spans[-1][1] + work.pieces[-1].wait_after
