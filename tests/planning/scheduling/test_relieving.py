from dataclasses import replace

import pytest

from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.improving import improve
from labcases.planning.scheduling.relieving import relieve
from tests.planning.scheduling.instances import overloaded


@pytest.mark.parametrize("seed", range(3))
def test_without_the_jobs_let_go_the_rest_is_in_time(seed: int) -> None:
    plan = earliest_due_first(overloaded(seed, stages=80, people=6))
    assert plan.cost
    relief = relieve(plan)
    assert relief.cost == 0
    assert 0 < len(relief.let_go) < len(plan.problem.jobs)
    gone = {job.key for job in relief.let_go}
    rest = tuple(job for job in plan.problem.jobs if job.key not in gone)
    assert improve(replace(plan.problem, jobs=rest), seconds=2).plan.cost == 0
    assert sum(relief.minutes.values()) == sum(job.minutes for job in relief.let_go)


def test_nothing_is_let_go_when_nothing_is_late() -> None:
    plan = earliest_due_first(overloaded(0, stages=20, people=12, load=0.05))
    relief = relieve(plan)
    assert (relief.let_go, relief.cost, dict(relief.minutes)) == ((), 0, {})


def test_of_two_that_cannot_both_be_in_time_the_lighter_is_let_go() -> None:
    problem = overloaded(0, stages=1, people=1)
    job = problem.jobs[0]
    work = replace(job.works[0], pieces=(replace(job.works[0].pieces[0], minutes=400, wait_after=0),))
    due = problem.calendar.closing_on(problem.calendar.day_of(problem.now))
    jobs = tuple(
        replace(job, key=key, works=(replace(work, key=key),), due=due, release=problem.now, weight=weight)
        for key, weight in ((1, 3), (2, 1))
    )
    people = tuple(replace(p, skills=None, calendar=problem.calendar) for p in problem.people)
    relief = relieve(earliest_due_first(replace(problem, jobs=jobs, people=people)))
    assert [job.key for job in relief.let_go] == [2]
