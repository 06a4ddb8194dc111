"""Improving a plan by moving jobs in the order in which they are placed, one move at a time."""

import random
from collections.abc import Sequence

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.placing import Draft, place
from labcases.planning.scheduling.work import Job

# Every so many jobs the draft is kept, so that a move need not place again what comes before it.
EVERY = 12
# How far a job is moved at the most.
FAR = 60


class Polish:
    """`best` is the best plan so far; the search itself may stand at a slightly worse one."""

    def __init__(self, bench: Bench, order: Sequence[Job], *, seed: int) -> None:
        self.bench = bench
        self.rng = random.Random(seed)
        self.kept: list[Draft] = [Draft(bench)]
        self.order = list(order)
        self.hands = {
            job.key: frozenset(key for work in job.works for key in bench.candidates[work.key])
            for job in order
        }
        placed = self._place(self.order, 0, limit=None)
        assert placed is not None
        self.draft, self.kept = placed
        self.best = self.draft

    def offer(self, order: Sequence[Job]) -> bool:
        """Go on from another order if that gives a better plan than any so far."""
        placed = self._place(list(order), 0, limit=self.best.standing)
        if placed is None or placed[0].standing >= self.best.standing:
            return False
        self._stand_at(list(order), placed)
        return True

    def move_one(self, *, warmth: float) -> bool:
        """Try one move; True if that gave a better plan than any so far.

        A move may cost more by a random amount of about `warmth` days, so that the search leaves a place from
        where every single move is worse; at 0 it never does.
        """
        order, first = self._moved()
        stuck, cost = self.draft.standing
        extra = int(self.rng.expovariate(1 / warmth)) if warmth > 0 else 0
        placed = self._place(order, first, limit=(stuck, cost + extra))
        if placed is None:
            return False
        better = placed[0].standing < self.best.standing
        self._stand_at(order, placed)
        return better

    def _stand_at(self, order: list[Job], placed: tuple[Draft, list[Draft]]) -> None:
        self.order = order
        self.draft, self.kept = placed
        if self.draft.standing < self.best.standing:
            self.best = self.draft

    def _moved(self) -> tuple[list[Job], int]:
        """A late job earlier, a late job later (out of the others' way), or any job either way.

        It lands beside a job that wants the same hands; beside any other it would change nothing.
        """
        order, rng = list(self.order), self.rng
        late = [at for at, job in enumerate(order) if self._is_late(job)]
        kind = rng.random()
        if late and kind < 0.8:
            at = rng.choice(late)
            low, high = (at - FAR, at) if kind < 0.5 else (at, at + FAR)
        else:
            at = rng.randrange(len(order))
            low, high = at - FAR, at + FAR
        hands = self.hands[order[at].key]
        near = range(max(0, low), min(len(order) - 1, high) + 1)
        rivals = [to for to in near if to != at and not hands.isdisjoint(self.hands[order[to].key])]
        to = rng.choice(rivals) if rivals else at
        order.insert(to, order.pop(at))
        return order, min(at, to)

    def _is_late(self, job: Job) -> bool:
        return job.key in self.draft.stuck or self.bench.late_days(job, self.draft.ends[job.key]) > 0

    def _place(
        self, order: list[Job], first: int, *, limit: tuple[int, int] | None
    ) -> tuple[Draft, list[Draft]] | None:
        """Place the jobs from `first` on, or give up (None) once that is worse than `limit`."""
        kept = self.kept[: first // EVERY + 1]
        draft = kept[-1].copy()
        for at in range((len(kept) - 1) * EVERY, len(order)):
            if at % EVERY == 0 and at // EVERY >= len(kept):
                kept.append(draft.copy())
            job = order[at]
            for work in job.works:
                place(draft, job, work)
                if job.key in draft.stuck:
                    break
            else:
                draft.cost += job.weight * self.bench.late_days(job, draft.ends[job.key])
            if limit is not None and draft.standing > limit:
                return None
        return draft, kept
