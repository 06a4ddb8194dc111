"""A server of our own, and people who visit it."""

import http.client
import os
import re
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from urllib.parse import urlencode, urlsplit

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY

from labcases.people.models import User
from tests.security.browsing import Form, Page


@contextmanager
def served() -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """Gunicorn as in the container, on a free port; it ends with the block."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "gunicorn", "--config", "python:labcases.config.server"]
    command += ["labcases.config.wsgi", "--bind", f"127.0.0.1:{port}", "--log-level", "warning"]
    # Longer than anybody pauses: a connection that is closed meanwhile would count as an error.
    command += ["--keep-alive", "75"]
    process = subprocess.Popen(command, env=os.environ)
    try:
        _wait(port)
        yield port, process
    finally:
        process.terminate()
        process.wait(60)


def _wait(port: int) -> None:
    for _ in range(600):
        try:
            with socket.create_connection(("127.0.0.1", port), 1):
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("the server did not start")


def memory_of_workers(process: subprocess.Popen[bytes]) -> list[float]:
    """Megabytes that each worker holds for itself and its share of what they have in common."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            parent = int(path.read_text().rpartition(")")[2].split()[1])
            rollup = (path.parent / "smaps_rollup").read_text() if parent == process.pid else ""
        except OSError:
            continue
        share = re.search(r"^Pss:\s+(\d+) kB", rollup, re.MULTILINE)
        found += [int(share[1]) / 1024] if share else []
    return found


def session_of(user: User) -> str:
    """A session as a sign-in leaves it; signing in itself is made slow on purpose and is not measured."""
    store = import_module(settings.SESSION_ENGINE).SessionStore()
    store[SESSION_KEY] = str(user.pk)
    store[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    store[HASH_SESSION_KEY] = user.get_session_auth_hash()
    store.save(must_create=True)
    return store.session_key


class Visitor:
    """One person's browser without its scripts: one connection kept, the forms of the last page at hand."""

    def __init__(self, port: int, user: User) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        self.cookies = {settings.SESSION_COOKIE_NAME: session_of(user), "csrftoken": secrets.token_hex(16)}
        self.address, self.text = "/", ""
        self._read: Page | None = None

    def get(self, address: str) -> tuple[int, float]:
        return self._ask("GET", address, "")

    def send(self, form: Form, **typed: str) -> tuple[int, float]:
        values = {**form.defaults(), **{name: [value] for name, value in typed.items()}}
        return self._ask("POST", form.address, urlencode(values, doseq=True))

    def forms(self) -> list[Form]:
        """Read once for each page: fifty people read theirs on the processors that are measured."""
        self._read = self._read or Page(self.text, address=self.address)
        return list(self._read.forms)

    def links(self, pattern: str) -> list[str]:
        """The addresses of a page that this fits, each once."""
        found = dict.fromkeys(re.findall(r'<a\s[^>]*?href="(/[^"#?]*)', self.text))
        return [link for link in found if re.search(pattern, link)]

    def _ask(self, method: str, address: str, body: str) -> tuple[int, float]:
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if method == "POST":
            headers |= {"Content-Type": "application/x-www-form-urlencoded"}
        began = time.perf_counter()
        try:
            self.connection.request(method, address, body, headers)
            answer = self.connection.getresponse()
            content = answer.read()
        except (http.client.HTTPException, OSError):
            self.connection.close()
            return 599, time.perf_counter() - began
        took = time.perf_counter() - began
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            name, _, rest = cookie.partition("=")
            self.cookies[name] = rest.partition(";")[0]
        if method == "GET":
            self.address, self.text = urlsplit(address).path, content.decode("utf-8", "replace")
            self._read = None
        return answer.status, took
