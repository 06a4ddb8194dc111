"""A site of real processes on the test's database, people who write to it over HTTP, and its end without warning."""

import http.client
import os
import queue
import signal
import socket
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from urllib.parse import urlencode

from django.conf import settings
from django.urls import reverse

from tests.operation.databases import database_at_hand
from tests.reliability.crowd import browser_of

PATIENCE = 60
TOKEN = "k" * 32


class Site:
    """The site under gunicorn, as it is run but for its port; all its processes are one group, and die at once."""

    def __init__(self, root: os.PathLike, **environment: str) -> None:
        self.root, self.process, self.environment = root, None, environment
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]

    def start(self) -> None:
        command = ["-m", "gunicorn", "--config", "python:labcases.config.server", "--preload"]
        command += ["labcases.config.wsgi", "--bind", f"127.0.0.1:{self.port}"]
        here = {"DJANGO_SETTINGS_MODULE": "tests.settings", "PYTHONPATH": str(self.root)}
        here |= {"DATABASE_URL": database_at_hand(), "LABCASES_SECRET_KEY": settings.SECRET_KEY}
        self.process = subprocess.Popen(
            [sys.executable, *command],
            cwd=self.root,
            env={**os.environ, **here, **self.environment},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        self._wait_until_it_answers()

    def kill(self) -> None:
        if self.process and self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def _wait_until_it_answers(self) -> None:
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            assert self.process.poll() is None, "the site ended by itself"
            try:
                ask = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
                ask.request("GET", "/healthz")
                if ask.getresponse().status == 200:
                    return
            except OSError:
                time.sleep(0.05)
            finally:
                ask.close()
        raise AssertionError("the site did not come up")


@dataclass
class Person:
    """Finishes one stage after another with a figure each, and sends a form that was not answered once more."""

    name: str
    cookies: str
    acknowledged: list[int] = field(default_factory=list)
    unanswered: int | None = None
    strange: list[str] = field(default_factory=list)

    @classmethod
    def signed_in(cls, user, *, name: str) -> "Person":
        session = browser_of(user).cookies[settings.SESSION_COOKIE_NAME].value
        cookies = f"{settings.SESSION_COOKIE_NAME}={session}; {settings.CSRF_COOKIE_NAME}={TOKEN}"
        return cls(name=name, cookies=cookies)

    def work(self, port: int, stages: "queue.Queue[int]", stop: threading.Event) -> None:
        wire = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        try:
            while not stop.is_set():
                if self.unanswered is None:
                    self.unanswered = stages.get_nowait()
                if not self._send(wire, self.unanswered):
                    return
        except queue.Empty:
            return
        finally:
            wire.close()

    def _send(self, wire: http.client.HTTPConnection, stage: int) -> bool:
        """Whether the site is still there; only what it answered as done counts as done."""
        form = {
            "csrfmiddlewaretoken": TOKEN,
            "version": 2,
            "one_time_key": one_time_key(stage),
            "instrument_mm": "digital_caliper",
            "instrument_deg": "protractor",
            "maxillary-anterior_height-1": "22.0",
        }
        headers = {"Cookie": self.cookies, "Content-Type": "application/x-www-form-urlencoded"}
        try:
            wire.request("POST", reverse("bench:finish", args=[stage]), urlencode(form), headers)
            answer = wire.getresponse()
            answer.read()
        except (OSError, http.client.HTTPException):
            return False
        if (answer.status, answer.headers["Location"]) == (302, reverse("bench:work")):
            self.acknowledged.append(stage)
            self.unanswered = None
        elif answer.status < 500:
            self.strange.append(f"{answer.status} {answer.headers['Location']} for stage {stage}")
            self.unanswered = None
        return answer.status < 500


def one_time_key(stage: int) -> str:
    return f"stage-{stage}"
