"""The plan by teams and days as a CP-SAT model.

The model knows days where a plan knows minutes, and never forbids what a plan may do: whatever plan there is,
the model has a solution that costs no more. Its proved bound therefore holds for every plan.
"""

import datetime
import itertools
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.placing import Draft
from labcases.planning.scheduling.timeline import Axis
from labcases.planning.scheduling.work import Job, Piece

# Working days beyond the planned ones that the model still tells apart; the last of all holds the rest.
SPILL_DAYS = 6
# With many different skill sets there would be very many unions; any choice of them keeps the bound true.
MOST_TEAMS = 40


@dataclass
class DayGrid:
    """The days of the model as minute ranges, and what of a piece fits on which."""

    bench: Bench
    opens: list[int] = field(init=False)
    anyone: Axis = field(init=False)

    def __post_init__(self) -> None:
        spans = _union(self.bench)
        self.anyone = Axis(spans)
        firsts: dict[datetime.date, int] = {}
        for start, _ in spans:
            firsts.setdefault(self.bench.instant(start).date(), start)
        count = len(self.bench.problem.planned_days) + SPILL_DAYS
        self.opens = list(firsts.values())[: count + 1]

    @property
    def last(self) -> int:
        """The index of the last day, which stands for itself and all that follow."""
        return len(self.opens) - 1

    def day_of(self, minute: int) -> int:
        """The day in which work that ends at `minute` ends."""
        return max(0, bisect_left(self.opens, minute) - 1)

    def first_end(self, day: int, piece: Piece, head: int) -> int:
        """The earliest minute at which a piece that ends on `day` can end; `head` is its earliest ever."""
        return max(head, self.opens[day] + (1 if piece.may_rest else piece.minutes))

    def end_after(self, ready: int, piece: Piece) -> int:
        """The earliest end of a piece begun at `ready` or later by anyone at all; -1 if there is none."""
        position = self.anyone.position(ready)
        if not piece.may_rest:
            position = self.anyone.in_one_go(position, piece.minutes)
        if position < 0 or position + piece.minutes > self.anyone.total:
            return -1
        return self.anyone.end_time(position + piece.minutes)

    def capacity(self, person: int) -> list[int]:
        """Working minutes of a person on each day."""
        axis = self.bench.axes[person]
        marks = [axis.position(minute) for minute in self.opens] + [axis.total]
        return [after - before for before, after in itertools.pairwise(marks)]


def _union(bench: Bench) -> list[tuple[int, int]]:
    spans = sorted(span for axis in bench.axes.values() for span in zip(axis.starts, axis.ends, strict=True))
    joined: list[tuple[int, int]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


Key = tuple[int, int]  # a work's key and the number of its piece
Team = frozenset[int]


class DayModel:
    """Variables say which piece ends on which day. `jobs` are those that can be placed at all.

    Whether everybody's hours suffice is asked of teams: what only members of a team can do must fit the hours
    of the whole team, for every union of skills and for everybody to whom work is fixed.
    """

    def __init__(self, bench: Bench, jobs: list[Job]) -> None:
        from ortools.sat.python import cp_model

        self.bench, self.jobs, self.grid = bench, jobs, DayGrid(bench)
        self.model = cp_model.CpModel()
        self.pieces: dict[Key, Piece] = {}
        self.ended: dict[Key, dict[int, Any]] = {}
        self.cost: list[Any] = []
        for job in jobs:
            self._add_job(job)
        for team in self._teams():
            self._keep_within_hours(team)
            self._keep_whole(team)
        self.model.minimize(sum(self.cost))

    def _add_job(self, job: Job) -> None:
        before: Key | None = None
        ready, wait_before = self.bench.releases[job.key], 0
        heads: dict[Key, int] = {}
        for work in job.works:
            if work.not_before is not None:
                ready = max(ready, self.bench.minute(work.not_before))
            for number, piece in enumerate(work.pieces):
                key = (work.key, number)
                heads[key] = head = self.grid.end_after(ready, piece)
                self._add_piece(key, piece, head)
                if before is not None:
                    self._keep_order(before, key, heads, wait_before)
                before, wait_before, ready = key, piece.wait_after, head + piece.wait_after
        self._count_lateness(job, heads)

    def _add_piece(self, key: Key, piece: Piece, head: int) -> None:
        """One variable for each day but the last: whether the piece has ended by then."""
        self.pieces[key] = piece
        days = range(min(self.grid.day_of(head), self.grid.last), self.grid.last)
        self.ended[key] = {day: self.model.new_bool_var("") for day in days}
        for day in days[1:]:
            self.model.add_implication(self.ended[key][day - 1], self.ended[key][day])

    def _keep_order(self, before: Key, key: Key, heads: Mapping[Key, int], wait: int) -> None:
        """A piece has ended by a day only if the one before it ended early enough."""
        grid, piece = self.grid, self.pieces[key]
        follows = {
            day: grid.day_of(
                grid.end_after(grid.first_end(day, self.pieces[before], heads[before]) + wait, piece)
            )
            for day in self.ended[before]
        }
        for day, ended in self.ended[key].items():
            latest = max((d for d, first in follows.items() if first <= day), default=None)
            if latest is None:
                self.model.add(ended == 0)
            else:
                self.model.add_implication(ended, self.ended[before][latest])

    def _count_lateness(self, job: Job, heads: Mapping[Key, int]) -> None:
        """Each day that the job has not ended by adds what the next day costs more."""
        key = (job.works[-1].key, len(job.works[-1].pieces) - 1)
        wait = self.pieces[key].wait_after
        first = min(self.grid.day_of(heads[key]), self.grid.last)
        costs = [
            job.weight
            * self.bench.late_days(job, self.grid.first_end(day, self.pieces[key], heads[key]) + wait)
            for day in range(first, self.grid.last + 1)
        ]
        self.cost.append(costs[0])
        for (_, ended), now, then in zip(self.ended[key].items(), costs, costs[1:], strict=False):
            if then > now:
                self.cost.append((then - now) * ended.negated())

    def _teams(self) -> set[Team]:
        able = {frozenset(self.bench.candidates[key]) for key, _ in self.ended}
        unions: set[Team] = set()
        for team in sorted(able, key=lambda team: (-len(team), sorted(team))):
            if len(team) > 1:
                unions |= {team} | {team | other for other in list(unions)[:MOST_TEAMS]}
        return unions | able

    def _keep_within_hours(self, team: Team) -> None:
        """What ends on a day, less what was done of it before, plus what is begun for later, fits the day.

        Over a night each person has at most one piece under way, because pieces do not interrupt each other.
        """
        mine = [key for key in self.ended if team.issuperset(self.bench.candidates[key[0]])]
        resting = max((self.pieces[key].minutes for key in mine if self.pieces[key].may_rest), default=1)
        hours = [self.grid.capacity(person) for person in team]
        most = len(team) * (resting - 1)
        days = range(self.grid.last)
        carried = [self.model.new_int_var(0, most if day else 0, "") for day in (*days, self.grid.last)]
        for day in days:
            load = sum(self.pieces[key].minutes * self._ends_on(key, day) for key in mine)
            there = sum(minutes[day] for minutes in hours)
            self.model.add(load - carried[day] + carried[day + 1] <= there)

    def _keep_whole(self, team: Team) -> None:
        """Half of one person's piece and half of another's are not one piece ended: count whole long pieces."""
        mine = [key for key in self.ended if team.issuperset(self.bench.candidates[key[0]])]
        hours = [list(itertools.accumulate(self.grid.capacity(person))) for person in team]
        lengths = sorted({self.pieces[key].minutes for key in mine if self.pieces[key].minutes > 60})
        for shortest in lengths[:: max(1, len(lengths) // 6)]:
            long = [key for key in mine if self.pieces[key].minutes >= shortest]
            for day in range(self.grid.last):
                most = sum(minutes[day] // shortest for minutes in hours)
                ended = [self.ended[key][day] for key in long if day in self.ended[key]]
                if len(ended) > most:
                    self.model.add(sum(ended) <= most)

    def _ends_on(self, key: Key, day: int) -> Any:
        ended = self.ended[key]
        return ended.get(day, 0) - ended.get(day - 1, 0)

    def hint(self, draft: Draft) -> None:
        """Begin the search at a plan that is there already."""
        for key, choices in self.ended.items():
            _, spans = draft.placed[key[0]]
            on = self.grid.day_of(spans[key[1]][1])
            for day, ended in choices.items():
                self.model.add_hint(ended, on <= day)

    def order(self, value: Any) -> list[Job]:
        """The order of jobs that a solution (a function giving a variable's value) stands for."""
        days = {job.key: self._days(job, value) for job in self.jobs}
        return sorted(self.jobs, key=lambda job: (*days[job.key], -job.weight, job.key))

    def _days(self, job: Job, value: Any) -> tuple[int, int]:
        """When the solution has the job's first piece ended, and when its last."""
        last = job.works[-1]
        return self._day((job.works[0].key, 0), value), self._day((last.key, len(last.pieces) - 1), value)

    def _day(self, key: Key, value: Any) -> int:
        return next((day for day, ended in self.ended[key].items() if value(ended)), self.grid.last)
