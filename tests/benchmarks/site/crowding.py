"""Fifty people at once, as on a busy morning, and how long it takes them to finish a stage."""

import random
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from django.db import connection
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import StageState
from labcases.cases.models import Stage
from labcases.people.choices import Role
from labcases.people.models import User
from labcases.tickets.actions import issue_tickets
from tests.benchmarks.site.measuring import figures
from tests.benchmarks.site.visiting import Visitor

TECHNICIANS, MANAGERS, CLINICIANS = 35, 5, 10
# Seconds between two things that one person does.
PAUSE = (2.0, 8.0)
EXPECTED = (200, 302, 303, 409)


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
    """First one person alone, then all of them, then all of them beside a batch print."""
    ready = _work_for(TECHNICIANS)
    quiet = Tally()
    single = Visitor(port, ready[0])
    for _ in range(alone):
        _finish_one(single, quiet)
    half = minutes * 30
    return {
        "alone": quiet.summary(),
        "crowd": _crowd(port, ready, seconds=half, printing=False),
        "crowd beside a batch print": _crowd(port, ready, seconds=half, printing=True),
    }


def _work_for(count: int) -> list[User]:
    """Technicians, each with as much waiting work as there is to share out."""
    people = list(User.objects.filter(role=Role.TECHNICIAN).order_by("pk")[:count])
    waiting = Stage.objects.at_bench().filter(state=StageState.WAITING).exclude(kind="occlusion_rims")
    for place, pk in enumerate(waiting.values_list("pk", flat=True)):
        Stage.objects.filter(pk=pk).update(assignee=people[place % len(people)])
    return people


def _crowd(port: int, technicians: list[User], *, seconds: float, printing: bool) -> dict[str, Any]:
    tally, until = Tally(), time.monotonic() + seconds
    managers = list(User.objects.filter(role=Role.MANAGER)[:1]) * MANAGERS
    clinicians = list(User.objects.filter(role=Role.CLINICIAN, is_active=True).order_by("pk")[:CLINICIANS])
    work = [(_technician, technicians), (_manager, managers), (_clinician, clinicians)]
    visitors = [(act, Visitor(port, person)) for act, people in work for person in people]
    threads = [
        threading.Thread(target=_until, args=(act, visitor, tally, until, random.Random(place)))
        for place, (act, visitor) in enumerate(visitors)
    ]
    if printing:
        threads.append(threading.Thread(target=_print_on, args=(until,)))
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return tally.summary()


def _until(act: Any, visitor: Visitor, tally: Tally, until: float, dice: random.Random) -> None:
    time.sleep(dice.uniform(0, PAUSE[1]))
    while time.monotonic() < until:
        act(visitor, tally, dice)
        time.sleep(dice.uniform(*PAUSE))


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


def _print_on(until: float) -> None:
    """Ticket after ticket, as an office prints a day's; the site's server has the rest of the machine."""
    manager = User.objects.filter(role=Role.MANAGER).first()
    stages = list(Stage.objects.at_bench().with_case()[:50])
    try:
        while stages and time.monotonic() < until:
            issue_tickets(stages=[stages.pop()], by=manager, now=timezone.now())
    finally:
        connection.close()
