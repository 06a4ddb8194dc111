"""Fifty people at once, as on a busy morning, and how long it takes them to finish a stage."""

import random
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from django.db import connection
from django.urls import reverse

from labcases.cases.choices import StageState
from labcases.cases.models import Stage
from labcases.people.choices import Role
from labcases.people.models import User
from labcases.tickets.choices import AT_WORK
from labcases.tickets.models import PrintRun
from tests.benchmarks.site.measuring import figures
from tests.benchmarks.site.names import ALONE, BESIDE, CROWD, PAUSE
from tests.benchmarks.site.visiting import Visitor
from tests.benchmarks.site.workers import ask, printable, workers

TECHNICIANS, MANAGERS, CLINICIANS = 35, 5, 10
EXPECTED = (200, 302, 303, 409)
TURNS, OTHER_PAPER = 5, "letter"


@dataclass
class Tally:
    """What all of them together met."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    answers: Counter[int] = field(default_factory=Counter)
    pages: list[float] = field(default_factory=list)
    finishes: list[float] = field(default_factory=list)

    def note(self, status: int, took: float, *, finish: bool = False) -> int:
        with self.lock:
            self.answers[status] += 1
            (self.finishes if finish and status < 400 else self.pages).append(took)
        return status

    def summary(self) -> dict[str, Any]:
        wrong = sum(count for status, count in self.answers.items() if status not in EXPECTED)
        empty = {"median": 0.0, "p95": 0.0}
        return {
            "requests": sum(self.answers.values()),
            "errors": wrong,
            "conflicts": self.answers[409],
            "pages": figures(self.pages) if self.pages else empty,
            "finishes": len(self.finishes),
            "finish": figures(self.finishes) if self.finishes else empty,
        }


def measure_crowd(port: int, *, minutes: float, alone: int) -> dict[str, Any]:
    """First one person alone, then all of them by turns without and with a batch print beside them."""
    ready = _work_for(TECHNICIANS)
    quiet = Tally()
    single = Visitor(port, ready[0])
    for _ in range(alone):
        _finish_one(single, quiet)
    crowd, beside = Tally(), Tally()
    people = _everybody(port, ready)
    share = len(printable(OTHER_PAPER)) // TURNS
    # Turn about, so that the work that is done meanwhile changes both alike.
    with workers(1) as (worker,):
        for _ in range(TURNS):
            _work_for(TECHNICIANS)
            worker.hold()
            _crowd(people, crowd, seconds=minutes * 60 / TURNS / 2)
            worker.let_go()
            _crowd(people, beside, seconds=minutes * 60 / TURNS / 2, printed=share)
    return {ALONE: quiet.summary(), CROWD: crowd.summary(), BESIDE: beside.summary()}


def _work_for(count: int) -> list[User]:
    """Technicians, each with as much waiting work as there is to share out."""
    people = list(User.objects.filter(role=Role.TECHNICIAN).order_by("pk")[:count])
    waiting = Stage.objects.at_bench().filter(state=StageState.WAITING).exclude(kind="occlusion_rims")
    for place, pk in enumerate(waiting.values_list("pk", flat=True)):
        Stage.objects.filter(pk=pk).update(assignee=people[place % len(people)])
    return people


def _everybody(port: int, technicians: list[User]) -> list[tuple[Any, Visitor]]:
    managers = list(User.objects.filter(role=Role.MANAGER)[:1]) * MANAGERS
    clinicians = list(User.objects.filter(role=Role.CLINICIAN, is_active=True).order_by("pk")[:CLINICIANS])
    work = [(_technician, technicians), (_manager, managers), (_clinician, clinicians)]
    return [(act, Visitor(port, person)) for act, people in work for person in people]


def _crowd(people: list[tuple[Any, Visitor]], tally: Tally, *, seconds: float, printed: int = 0) -> None:
    until = time.monotonic() + seconds
    threads = [
        threading.Thread(target=_until, args=(act, visitor, tally, until, random.Random(place)))
        for place, (act, visitor) in enumerate(people)
    ]
    if printed:
        threads.append(threading.Thread(target=_print, args=(until,), kwargs={"share": printed}))
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _until(act: Any, visitor: Visitor, tally: Tally, until: float, dice: random.Random) -> None:
    time.sleep(dice.uniform(0, PAUSE[1]))
    while time.monotonic() < until:
        act(visitor, tally, dice)
        # Not beyond the turn, whose end all wait for.
        time.sleep(min(dice.uniform(*PAUSE), max(0.0, until - time.monotonic())))


def _technician(visitor: Visitor, tally: Tally, dice: random.Random) -> None:
    if dice.random() < 0.4:
        _finish_one(visitor, tally)
    else:
        tally.note(*visitor.get(reverse("bench:work")))


def _finish_one(visitor: Visitor, tally: Tally) -> None:
    """Open the first of one's own work, start it where it waits, tick it off and finish it."""
    tally.note(*visitor.get(reverse("bench:work")))
    sheets = visitor.links(r"/bench/stages/\d+$")
    if not sheets:
        return
    tally.note(*visitor.get(sheets[0]))
    start = next((form for form in visitor.forms() if form.route == "bench:start"), None)
    if start:
        tally.note(*visitor.send(start))
        tally.note(*visitor.get(sheets[0]))
    finish = next((form for form in visitor.forms() if form.route == "bench:finish"), None)
    if finish:
        tally.note(*visitor.send(finish, reason="Measured on the cast."), finish=True)


def _manager(visitor: Visitor, tally: Tally, dice: random.Random) -> None:
    cases = reverse("office:cases")
    asked = [
        reverse("office:today"),
        cases,
        f"{cases}?state=all",
        f"{cases}?state=all&q=ELM-1",
        reverse("office:plan"),
    ]
    tally.note(*visitor.get(dice.choice(asked)))


def _clinician(visitor: Visitor, tally: Tally, dice: random.Random) -> None:
    tally.note(*visitor.get(reverse("clinic:cases")))
    own = visitor.links(r"/clinic/cases/\d\d-\d{5}-.$")
    if own:
        tally.note(*visitor.get(dice.choice(own)))


def _print(until: float, *, share: int) -> None:
    """A share of the bench's tickets on paper that none of them has yet: what says the same again is only looked up."""
    try:
        stages = printable(OTHER_PAPER)[:share]
        runs = [run.pk for run in ask(stages, OTHER_PAPER)] if stages else []
        while PrintRun.objects.filter(pk__in=runs, state__in=AT_WORK).exists() and time.monotonic() < until:
            time.sleep(0.2)
    finally:
        connection.close()
