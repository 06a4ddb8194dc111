"""Two addresses for who watches over the site: does the process live, and can it serve people."""

import datetime
from functools import cache

from django.contrib.auth.decorators import login_not_required
from django.db import Error
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone, translation
from django.views.decorators.http import require_safe

from labcases.upkeep.queries import (
    free_bytes,
    has_replica,
    migrations_missing,
    replica_standing,
    worker_seen_at,
)
from labcases.upkeep.rules import SILENT_AFTER, space_in_a_word


class _Missing(Exception):
    """Not kept by `cache`: migrations may be applied while this process runs."""


@require_safe
@login_not_required
def alive(request: HttpRequest) -> HttpResponse:
    """The process answers; nothing else is asked."""
    return JsonResponse({"alive": True})


@require_safe
@login_not_required
def ready(request: HttpRequest) -> HttpResponse:
    """Whether pages can be served, and how what runs beside them does.

    A silent worker is told but leaves the site ready: people can work on, and jobs wait for it. So is a replica that is
    behind or away: lists are read from the primary then.
    """
    now = timezone.now()
    facts = _of_database(now) | {"disk": space_in_a_word(free_bytes())}
    well = facts["database"] == "answers" and facts["migrations"] == "applied" and facts["disk"] != "none"
    return JsonResponse({"ready": well, **facts}, status=200 if well else 503)


def _of_database(now: datetime.datetime) -> dict[str, str]:
    try:
        _migrations_are_applied()
        # A watcher is a program and reads English, whatever the laboratory speaks.
        with translation.override("en-gb"):
            replica = {"replica": replica_standing(now=now)} if has_replica() else {}
        worker = _of_worker(worker_seen_at(), now)
        return {"database": "answers", "migrations": "applied", "worker": worker, **replica}
    except _Missing:
        return {"database": "answers", "migrations": "missing", "worker": "unknown"}
    except Error:
        return {"database": "does not answer", "migrations": "unknown", "worker": "unknown"}


@cache
def _migrations_are_applied() -> None:
    if migrations_missing():
        raise _Missing


def _of_worker(seen_at: datetime.datetime | None, now: datetime.datetime) -> str:
    if seen_at is None:
        return "never seen"
    seconds = max(0, int((now - seen_at).total_seconds()))
    words = f"last seen {seconds} seconds ago"
    return words if now - seen_at <= SILENT_AFTER else f"silent, {words}"
