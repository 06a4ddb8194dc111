"""Making the earliest-due-first plan better within a time limit, and saying how good any plan could be.

Two searches run at once: CP-SAT looks for who should be finished by which day and proves a bound; beside it
jobs are moved one by one in the exact plan. Every order that CP-SAT finds is made into an exact plan and taken
over if it is better, so the result never costs more than the plan that was there at once.
"""

import math
import queue
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.greedy import due_order, greedy_draft
from labcases.planning.scheduling.placing import Draft
from labcases.planning.scheduling.plans import Plan, plan_of
from labcases.planning.scheduling.polishing import Polish
from labcases.planning.scheduling.relaxing import DayModel
from labcases.planning.scheduling.work import Job, Problem

# How much worse than it stands the search may go at first, in weighted days; towards the end it may not.
WARMTH = 1.0
# Seconds between looks at whether to stop, and between reports.
PAUSE = 0.25


@dataclass(frozen=True)
class Progress:
    """`cost` is the best plan's weighted days of lateness, `bound` what no plan can be below."""

    seconds: float
    cost: int
    bound: int


@dataclass(frozen=True)
class Improved:
    """`stopped` is true if it ended because it was asked to, `proved` if no plan can be better."""

    plan: Plan
    greedy_cost: int
    bound: int
    stopped: bool

    @property
    def proved(self) -> bool:
        return not self.plan.stuck and self.plan.cost <= self.bound


def improve(
    problem: Problem,
    *,
    seconds: float,
    workers: int = 2,
    seed: int = 0,
    should_stop: Callable[[], bool] = lambda: False,
    on_progress: Callable[[Progress], None] = lambda progress: None,
) -> Improved:
    """Improve on earliest-due-first for at most `seconds`; `should_stop` is asked a few times a second."""
    bench = Bench(problem)
    greedy = greedy_draft(bench)
    polish = Polish(bench, sorted(problem.jobs, key=due_order), seed=seed)
    if greedy.standing == (0, 0) or not problem.jobs:
        return Improved(plan_of(greedy), greedy.cost, 0, stopped=False)
    search = _DaySearch(bench, greedy, seconds=seconds, workers=workers, seed=seed)
    began = time.monotonic()
    search.start()
    stopped = False
    try:
        stopped = _search(polish, search, began, seconds, should_stop, on_progress)
    finally:
        search.stop()
    best = min(greedy, polish.best, key=lambda draft: draft.standing)
    return Improved(plan_of(best), greedy.cost, search.bound, stopped)


def _search(
    polish: Polish,
    search: "_DaySearch",
    began: float,
    seconds: float,
    should_stop: Callable[[], bool],
    on_progress: Callable[[Progress], None],
) -> bool:
    """Move jobs until time is up, nothing can be better, or it is asked to stop (True)."""
    look = 0.0
    while (passed := time.monotonic() - began) < seconds:
        for order in search.orders():
            polish.offer(order)
        if passed >= look:
            on_progress(Progress(passed, polish.best.cost, search.bound))
            if should_stop():
                return True
            look = passed + PAUSE
        if polish.best.standing <= (0, search.bound):
            break
        polish.move_one(warmth=WARMTH * (1 - passed / seconds) ** 2)
    return False


class _DaySearch:
    """CP-SAT in a thread of its own; it lets go of Python while it searches."""

    def __init__(self, bench: Bench, hint: Draft, *, seconds: float, workers: int, seed: int) -> None:
        self.bound = 0
        self._bench, self._hint = bench, hint
        self._seconds, self._workers, self._seed = seconds, workers, seed
        self._orders: queue.SimpleQueue[list[Job]] = queue.SimpleQueue()
        self._solver: Any = None
        self._failure: BaseException | None = None
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._run, name="cp-sat", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def orders(self) -> list[list[Job]]:
        """The orders found since the last look."""
        found = []
        while not self._orders.empty():
            found.append(self._orders.get())
        return found

    def stop(self) -> None:
        """End the search and wait for it; a failure in it is raised here rather than hidden."""
        self._ending.set()
        while self._thread.is_alive():
            if self._solver is not None:
                self._solver.stop_search()
            self._thread.join(timeout=0.05)
        if self._failure is not None:
            raise self._failure

    def _run(self) -> None:
        try:
            self._solve()
        except BaseException as failure:
            self._failure = failure

    def _solve(self) -> None:
        from ortools.sat.python import cp_model

        began = time.monotonic()
        placeable = [job for job in self._bench.problem.jobs if job.key not in self._hint.stuck]
        if not placeable:
            return
        model = DayModel(self._bench, placeable)
        model.hint(self._hint)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(0.1, self._seconds - (time.monotonic() - began))
        solver.parameters.num_workers = self._workers
        solver.parameters.random_seed = self._seed
        # What the relaxed costs are good for is the bound: one worker proves it, the other looks for plans.
        solver.parameters.subsolvers.extend(["lb_tree_search"])
        # Probing and the search for symmetries take longer here than they save.
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        solver.best_bound_callback = self._take_bound
        self._solver = solver
        if not self._ending.is_set():
            status = solver.solve(model.model, _watcher(model, self._orders))
            if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                self._take_bound(solver.best_objective_bound)

    def _take_bound(self, bound: float) -> None:
        # Costs are whole days: a bound of 6.2 means that nothing is below 7.
        self.bound = max(self.bound, math.ceil(bound - 1e-6))


def _watcher(model: DayModel, orders: "queue.SimpleQueue[list[Job]]") -> Any:
    from ortools.sat.python import cp_model

    class Watcher(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            orders.put(model.order(self.value))

    return Watcher()
