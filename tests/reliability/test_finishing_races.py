"""Two signed-in people finish the same stage at the same moment, over the whole way from form to page."""

import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections
from django.urls import reverse

from labcases.cases.choices import Act, StageKind, StageState
from labcases.cases.models import Case, Event, Stage
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.reliability.crowd import browser_of, stages_at_work


class Runner:
    """One person who finishes every stage, each at the moment at which the other does."""

    def __init__(self, person, name, gate):
        self.person, self.name, self.gate = person, name, gate
        self.browser = browser_of(person)
        self.answers = []
        self.spans = []

    def run(self, stages):
        try:
            for stage in stages:
                self.gate.wait()
                began = time.monotonic()
                self.answers.append(self._finish(stage))
                self.spans.append((began, time.monotonic()))
        except BaseException:
            self.gate.abort()
            raise
        finally:
            connections.close_all()

    def _finish(self, stage):
        form = {"version": stage.version, "one_time_key": f"{self.name}-{stage.pk}"}
        return self.browser.post(reverse("bench:finish", args=[stage.pk]), form)


@pytest.mark.django_db(transaction=True)
@pytest.mark.timeout(600)
@pytest.mark.parametrize(
    "count", [pytest.param(150, marks=pytest.mark.short), pytest.param(500, marks=pytest.mark.full)]
)
def test_of_two_who_finish_a_stage_at_once_one_wins_and_the_other_gets_the_conflict_page(count, proof):
    technician, manager = TechnicianFactory(), ManagerFactory()
    stages = stages_at_work(count, by=technician)
    gate = threading.Barrier(2, timeout=60)
    runners = [Runner(technician, "one", gate), Runner(manager, "other", gate)]

    with ThreadPoolExecutor(2) as pool:
        for running in [pool.submit(runner.run, stages) for runner in runners]:
            running.result()

    races = list(zip(*(runner.answers for runner in runners), strict=True))
    assert Counter(tuple(sorted(answer.status_code for answer in race)) for race in races) == {
        (302, 409): count
    }
    assert Stage.objects.filter(state=StageState.DONE, version=3).count() == count
    assert Case.objects.filter(current_stage__kind=StageKind.INSERTION).count() == count
    events = Event.objects.filter(act=Act.FINISHED)
    assert events.count() == events.values("stage").distinct().count() == count
    _the_winner_is_in_the_log_and_on_the_losers_page(races, runners, stages)
    _they_did_run_at_once(runners)
    proof("races").reached(count, "races: one won, the other got the conflict page")


def _the_winner_is_in_the_log_and_on_the_losers_page(races, runners, stages):
    finished_by = dict(Event.objects.filter(act=Act.FINISHED).values_list("stage", "by"))
    for race, stage in zip(races, stages, strict=True):
        winner = 0 if race[0].status_code == 302 else 1
        person, lost = runners[winner].person, race[1 - winner]
        assert race[winner].url == reverse("bench:work")
        assert finished_by[stage.pk] == person.pk
        assert str(person) in lost.content.decode()


def _they_did_run_at_once(runners):
    """A race in which one had finished before the other began would prove nothing."""
    spans = zip(*(runner.spans for runner in runners), strict=True)
    overlapped = sum(a[0] < b[1] and b[0] < a[1] for a, b in spans)
    assert overlapped > len(runners[0].spans) * 0.9
