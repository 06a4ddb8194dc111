import itertools
import time
from dataclasses import replace

import pytest

from labcases.planning.scheduling.bench import Bench
from labcases.planning.scheduling.greedy import earliest_due_first, greedy_draft, steps_of
from labcases.planning.scheduling.improving import Progress, improve
from labcases.planning.scheduling.placing import place_in_order
from labcases.planning.scheduling.relaxing import DayModel
from labcases.planning.scheduling.work import Problem
from tests.planning.scheduling.checking import complaints
from tests.planning.scheduling.instances import overloaded


@pytest.mark.parametrize("seed", [1, 2])
def test_an_improved_plan_keeps_every_rule_and_is_never_worse(seed: int) -> None:
    problem = overloaded(seed, stages=60, people=5)
    improved = improve(problem, seconds=2)
    assert complaints(improved.plan) == []
    assert improved.greedy_cost == earliest_due_first(problem).cost
    assert improved.plan.cost <= improved.greedy_cost
    assert improved.bound <= improved.plan.cost


@pytest.mark.full
@pytest.mark.parametrize("seed", range(20))
def test_three_hundred_stages_are_planned_no_worse_in_ten_seconds(seed: int) -> None:
    improved = improve(overloaded(seed), seconds=10)
    assert complaints(improved.plan) == []
    assert improved.bound <= improved.plan.cost <= improved.greedy_cost


@pytest.mark.parametrize("seed", range(6))
def test_the_proved_bound_holds_for_every_order_of_a_small_laboratory(seed: int) -> None:
    """All orders of six jobs are placed one by one: none may cost less than what was proved."""
    from ortools.sat.python import cp_model

    problem = overloaded(seed, stages=9, people=2, days=2, load=1.6)
    problem = replace(problem, jobs=problem.jobs[:6])
    bench = Bench(problem)
    drafts = [place_in_order(bench, steps_of(order)) for order in itertools.permutations(problem.jobs)]
    best = min(draft.standing for draft in drafts)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    model = DayModel(bench, [job for job in problem.jobs if job.key not in greedy_draft(bench).stuck])
    assert solver.solve(model.model) == cp_model.OPTIMAL
    assert round(solver.best_objective_bound) <= best[1]


def test_the_bound_is_met_where_only_the_hours_count() -> None:
    """Nine equal pieces of four hours for one person, all due the first evening: two are in time, the others
    one to four days late, two by two: 1+1+2+2+3+3+4."""
    problem = overloaded(0, stages=1, people=1)
    job = problem.jobs[0]
    work = replace(job.works[0], pieces=(replace(job.works[0].pieces[0], minutes=240, wait_after=0),))
    due = problem.calendar.closing_on(problem.calendar.day_of(problem.now))
    jobs = tuple(
        replace(job, key=n, works=(replace(work, key=n),), due=due, release=problem.now, weight=1)
        for n in range(1, 10)
    )
    everybody = tuple(replace(p, skills=None, calendar=problem.calendar) for p in problem.people)
    improved = improve(replace(problem, jobs=jobs, people=everybody), seconds=20)
    assert improved.plan.cost == improved.bound == 16
    assert improved.proved


def test_fixed_work_is_kept_while_the_rest_is_improved() -> None:
    problem = overloaded(5, stages=60, people=5)
    plan = earliest_due_first(problem)
    kept = {placement.work.key: placement for placement in list(plan.placements.values())[:8]}
    problem = replace(
        problem,
        jobs=tuple(
            replace(
                job,
                works=tuple(
                    replace(work, fixed_to=kept[work.key].person) if work.key in kept else work
                    for work in job.works
                ),
            )
            for job in problem.jobs
        ),
    )
    improved = improve(problem, seconds=1)
    assert complaints(improved.plan) == []
    assert all(improved.plan.placements[key].person == kept[key].person for key in kept)


def test_a_stop_is_heeded_within_a_moment_and_leaves_a_good_plan() -> None:
    asked: list[float] = []

    def stop() -> bool:
        asked.append(time.monotonic())
        return len(asked) > 2

    problem = overloaded(2, stages=80, people=5)
    improved = improve(problem, seconds=120, should_stop=stop)
    assert improved.stopped
    assert time.monotonic() - asked[-1] < 60  # far from the limit; a loaded machine may take its time
    assert complaints(improved.plan) == []
    assert improved.plan.cost <= improved.greedy_cost


def test_progress_is_reported_and_never_gets_worse() -> None:
    seen: list[Progress] = []
    improve(overloaded(4, stages=60, people=5), seconds=1.5, on_progress=seen.append)
    assert len(seen) > 1
    for earlier, later in itertools.pairwise(seen):
        assert earlier.seconds < later.seconds
        assert later.cost <= earlier.cost
        assert later.bound >= earlier.bound


def test_a_plan_without_lateness_is_proved_best_at_once() -> None:
    problem = overloaded(0, stages=20, people=12, load=0.05)
    assert earliest_due_first(problem).cost == 0
    improved = improve(problem, seconds=60)
    assert improved.proved
    assert improved.plan.cost == improved.bound == 0


@pytest.mark.parametrize("missing", ["jobs", "people"])
def test_an_empty_laboratory_is_planned_too(missing: str) -> None:
    problem: Problem = replace(overloaded(0, stages=20, people=3), **{missing: ()})
    improved = improve(problem, seconds=1)
    assert improved.plan.cost == 0
    assert len(improved.plan.stuck) == len(problem.jobs)


def test_a_failure_of_the_search_is_raised_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(model: DayModel, draft: object) -> None:
        raise RuntimeError("planted")

    monkeypatch.setattr(DayModel, "hint", broken)
    with pytest.raises(RuntimeError, match="planted"):
        improve(overloaded(1, stages=30, people=3), seconds=0.5)
