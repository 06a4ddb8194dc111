"""A technician at work at two sites: finishes a stage at one, looks for it at the other, hands the case over."""

import http.client
import random
import re
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from urllib.parse import urlencode

from django.conf import settings
from django.urls import reverse

from labcases.cases.models import Stage
from labcases.people.models import User
from tests.reliability.crowd import browser_of
from tests.reliability.killing import TOKEN
from tests.reliability.wide.telling import READ_FROM

# How long a form that was cut off is sent again, as whoever pressed the button would (s).
PATIENCE = 60
FIGURES = {
    "version": 2,
    "instrument_mm": "digital_caliper",
    "instrument_deg": "protractor",
    "maxillary-anterior_height-1": "22.0",
}


@dataclass
class Technician:
    """What was answered as done, by stage and by case number, and what was seen that should not have been."""

    user: User
    ports: list[int]
    stages: Callable[[User], Iterator[Stage]]
    rng: random.Random
    finished: set[int] = field(default_factory=set)
    handed_over: set[str] = field(default_factory=set)
    looks: int = 0
    from_replica: int = 0
    cut_off: int = 0
    stale: list[str] = field(default_factory=list)
    strange: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        session = browser_of(self.user).cookies[settings.SESSION_COOKIE_NAME].value
        self.cookies = f"{settings.SESSION_COOKIE_NAME}={session}; {settings.CSRF_COOKIE_NAME}={TOKEN}"

    def work(self, stop: threading.Event) -> None:
        for stage in self.stages(self.user):
            if stop.is_set():
                return
            number = stage.case.number
            row, crossing = f'id="stage-{stage.pk}"', f'action="{reverse("bench:hand_over", args=[number])}"'
            if self._send(reverse("bench:finish", args=[stage.pk]), key_of(stage.pk), **FIGURES):
                self.finished.add(stage.pk)
                self._look(there=crossing, gone=row)
            if self._send(reverse("bench:hand_over", args=[number]), key_of(number)):
                self.handed_over.add(number)
                self._look(there="My work", gone=crossing)

    def _send(self, address: str, key: str, **typed: object) -> bool:
        """Whether it was answered as done."""
        form = {"csrfmiddlewaretoken": TOKEN, "one_time_key": key, **typed}
        status, headers, _ = self._ask("POST", address, urlencode(form))
        done = (status, headers.get("Location")) == (302, reverse("bench:work"))
        if not done:
            self.strange.append(f"{status} for {address}")
        return done

    def _look(self, *, there: str, gone: str) -> None:
        """At once, when the replica can't know yet, and again when it may."""
        for pause in (0, self.rng.uniform(0.2, 0.8)):
            time.sleep(pause)
            status, headers, body = self._ask("GET", reverse("bench:work"))
            self.looks += 1
            self.from_replica += headers.get(READ_FROM) == "replica"
            if status != 200:
                self.strange.append(f"{status} for a list")
            elif there not in body or gone in body:
                words = re.sub(r"\s+", " ", f"{there} missing or {gone} still there")
                self.stale.append(f"{words}, read from the {headers.get(READ_FROM, 'primary')}")

    def _ask(
        self, method: str, address: str, body: str | None = None
    ) -> tuple[int, http.client.HTTPMessage, str]:
        """The answer of either site; what was cut off is asked of the other."""
        until = time.monotonic() + PATIENCE
        first = self.rng.randrange(len(self.ports))
        while True:
            wire = http.client.HTTPConnection("127.0.0.1", self.ports[first], timeout=30)
            headers = {"Cookie": self.cookies, "Content-Type": "application/x-www-form-urlencoded"}
            try:
                wire.request(method, address, body, headers)
                answer = wire.getresponse()
                return answer.status, answer.headers, answer.read().decode()
            except (OSError, http.client.HTTPException):
                assert time.monotonic() < until, "neither site answered"
                self.cut_off += 1
                first = (first + 1) % len(self.ports)
                time.sleep(0.05)
            finally:
                wire.close()


def key_of(what: object) -> str:
    return f"once-{what}"
