"""One line of JSON for each request and event: what happened, never to whom.

No address, form or query string is written, for these carry case numbers and patients' codes; of an error its kind
and the places in the code, for its words may quote a row. Other packages' words are not written either, unless the
package is known to name nothing but its own affairs.
"""

import datetime
import json
import logging
import re
import secrets
import time
import traceback
from collections.abc import Callable
from contextvars import ContextVar
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse

Answer = Callable[[HttpRequest], HttpResponse]
A_REFERENCE = re.compile(r"[A-Za-z0-9._-]{8,64}")
DISCREET = ("labcases", "django_tasks", "django_tasks_db")
# Asked every few seconds; only an answer that something is wrong is news.
PROBES = {"alive", "ready"}
LAST_PLACES = 12
requests = logging.getLogger("labcases.request")
reference: ContextVar[str] = ContextVar("reference", default="")


class JsonLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        at = datetime.datetime.fromtimestamp(record.created, datetime.UTC)
        line: dict[str, Any] = {
            "time": at.isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "event": _words(record),
        }
        if reference.get():
            line["request"] = reference.get()
        line |= getattr(record, "facts", {})
        if record.exc_info and record.exc_info[1]:
            line |= _error(record.exc_info[1])
        return json.dumps(line, ensure_ascii=False, default=str)


def _words(record: logging.LogRecord) -> str:
    package = record.name.split(".")[0]
    # The server names an address only where it tells of an error.
    discreet = package in DISCREET or (package == "gunicorn" and record.levelno < logging.ERROR)
    return record.getMessage() if discreet else f"said by {record.name}"


def _error(error: BaseException) -> dict[str, object]:
    frames = traceback.extract_tb(error.__traceback__)[-LAST_PLACES:]
    return {
        "error": f"{type(error).__module__}.{type(error).__qualname__}",
        "places": [f"{frame.filename}:{frame.lineno} {frame.name}" for frame in frames],
    }


def request_log(get_response: Answer) -> Answer:
    """Give every request a reference that its person can quote, and log what became of it."""

    def answer(request: HttpRequest) -> HttpResponse:
        token = reference.set(_reference_of(request))
        began = time.perf_counter()
        try:
            response = get_response(request)
            response.headers["X-Request-ID"] = reference.get()
            _log(request, response, time.perf_counter() - began)
        finally:
            reference.reset(token)
        return response

    return answer


def _reference_of(request: HttpRequest) -> str:
    """The proxy's own reference where the settings trust one; else a new one, short enough to be read out."""
    given = request.headers.get("X-Request-ID", "") if settings.TRUST_REQUEST_ID else ""
    return given if A_REFERENCE.fullmatch(given) else secrets.token_hex(5)


def _log(request: HttpRequest, response: HttpResponse, seconds: float) -> None:
    match = request.resolver_match
    route = match.view_name if match else "none"
    if route in PROBES and response.status_code == 200:
        return
    # Only a user that the request has asked for already: logging must not ask the database.
    user = request.__dict__.get("_cached_user")
    facts = {
        "route": route,
        "method": request.method if request.method in ("GET", "HEAD", "POST") else "other",
        "status": response.status_code,
        "ms": round(seconds * 1000, 1),
        "user": user.pk if user else None,
    }
    level = logging.ERROR if response.status_code >= 500 else logging.INFO
    requests.log(level, "request", extra={"facts": facts})


def quotable(request: HttpRequest) -> dict[str, object]:
    """The reference of this request, for pages that tell of an error."""
    return {"reference": reference.get()}
