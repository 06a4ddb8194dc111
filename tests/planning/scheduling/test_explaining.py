import datetime
from dataclasses import replace

import pytest

from labcases.planning.scheduling.explaining import Cause, Explanation, explain
from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.work import Job, Person, Piece, Problem, Work
from labcases.planning.working_time import USUAL_WEEK, WorkingCalendar
from labcases.prosthodontics import wording
from tests.planning.scheduling.instances import LONDON, overloaded

CALENDAR = WorkingCalendar(USUAL_WEEK, LONDON)
NOW = datetime.datetime(2026, 3, 23, 8, 0, tzinfo=LONDON)
ONE = Person(1, "One", CALENDAR, frozenset({"arrangement"}))


def job(key: int, minutes: int, hour: int | None, *, skill: str = "arrangement", weight: int = 1) -> Job:
    due = None if hour is None else NOW.replace(hour=hour)
    return Job(key, f"J{key}", (Work(key, f"work {key}", skill, (Piece(minutes),)),), NOW, due, weight)


def explained(*jobs: Job) -> dict[int, Explanation]:
    plan = earliest_due_first(Problem(jobs, (ONE,), CALENDAR, NOW))
    return {explanation.job.key: explanation for explanation in explain(plan)}


def test_a_job_in_time_tells_its_slack_in_working_hours() -> None:
    one = explained(job(1, 60, 14))[1]
    assert (one.cause, one.late_days, one.slack) == (Cause.NONE, 0, 270)
    assert one.words == "Ready 4.5 h before collection."


def test_a_job_too_long_for_its_day_is_late_whoever_else_waits() -> None:
    one = explained(job(1, 480, 12))[1]
    assert (one.cause, one.late_days) == (Cause.TIME, 1)
    assert "Even with all hands free" in one.words
    assert "Mon 23 Mar 16:30" in one.words


def test_a_job_kept_waiting_names_the_skill_that_is_short() -> None:
    found = explained(job(1, 240, 12, weight=2), job(2, 200, 12))
    late = found[2]
    assert (late.cause, late.skill) == (Cause.HANDS, "arrangement")
    assert late.words == (
        "Waits 4.0 h for tooth arrangement: 7.3 h of it are due by Mon 23 Mar 12:00, "
        "the one person who can do it has 4.0 h until then."
    )


def test_a_plan_that_is_kept_is_said_in_the_language_of_whoever_reads_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = explained(job(1, 60, 14), job(2, 60, 12, skill="processing"))
    german = {
        "Ready {hours} before collection.": "{hours} vor der Abholung fertig.",
        "Nobody here does {skill}.": "Niemand hier macht {skill}.",
        "Processing and finishing": "Fertigstellung",
    }
    monkeypatch.setattr(wording, "_translate", lambda text: german.get(text, text))
    monkeypatch.setattr(wording, "_decimal_mark", lambda: ",")
    monkeypatch.setattr(wording, "_small", str)
    assert found[1].words == "4,5 h vor der Abholung fertig."
    assert found[2].words == "Niemand hier macht Fertigstellung."


def test_a_job_that_nobody_can_do_says_so() -> None:
    found = explained(job(1, 60, 12, skill="processing"))[1]
    assert (found.cause, found.words) == (Cause.NOBODY, "Nobody here does processing and finishing.")


def test_a_job_without_a_day_is_no_verdict() -> None:
    found = explained(job(1, 60, None))[1]
    assert (found.cause, found.slack, found.late_days) == (Cause.NO_DATE, None, 0)


@pytest.mark.parametrize("seed", range(3))
def test_every_job_is_explained_and_late_ones_name_a_cause(seed: int) -> None:
    plan = earliest_due_first(overloaded(seed, stages=90, people=6))
    explanations = explain(plan)
    assert [explanation.job for explanation in explanations] == list(plan.problem.jobs)
    for explanation in explanations:
        late = bool(plan.late[explanation.job.key])
        assert (explanation.cause in (Cause.TIME, Cause.HANDS)) is late
        assert (explanation.cause is Cause.HANDS) is bool(explanation.skill)
        # Too little time means late even in an empty laboratory, too few hands in time there.
        alone = earliest_due_first(replace(plan.problem, jobs=(explanation.job,)))
        if late:
            assert bool(alone.late[explanation.job.key]) is (explanation.cause is Cause.TIME)
