"""How the site itself does: backups, the worker, room on the disk, jobs and letters that failed."""

import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from labcases.pages.answers import once, page
from labcases.pages.gates import for_managers, version_seen
from labcases.pages.paging import stretch
from labcases.post import queries as post
from labcases.post.actions.delivering import drop_letter, try_again
from labcases.upkeep.queries import (
    backups,
    failed_jobs,
    free_bytes,
    has_replica,
    last_verified_backup,
    replica_standing,
    worker_seen_at,
)
from labcases.upkeep.rules import AWAY, NO_REPLICA, OLD_AFTER, SILENT_AFTER, space_in_a_word

SHOWN = 14
LETTERS_SHOWN = 50
FAILURES_SHOWN_FOR = datetime.timedelta(days=7)


@require_safe
@for_managers
def upkeep(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    last, seen_at, free = last_verified_backup(), worker_seen_at(), free_bytes()
    replica = replica_standing(now=now) if has_replica() else ""
    context = {
        "last": last,
        "is_old": last is None or now - last.verified_at > OLD_AFTER,
        "backups": backups()[:SHOWN],
        "folder": Path(settings.BACKUP_FOLDER),
        "hour": settings.BACKUP_HOUR,
        "kept": (settings.BACKUPS_DAILY, settings.BACKUPS_WEEKLY, settings.BACKUPS_MONTHLY),
        "seen_at": seen_at,
        "is_silent": seen_at is None or now - seen_at > SILENT_AFTER,
        "replica": replica,
        "replica_fails": replica in (AWAY, NO_REPLICA),
        "free": free,
        "room": space_in_a_word(free),
        "failed": failed_jobs(now - FAILURES_SHOWN_FOR)[:SHOWN],
        "unsent": post.letters_not_sent().count(),
    }
    return page(request, "office/upkeep.html", context)


@require_safe
@for_managers
def letters(request: HttpRequest) -> HttpResponse:
    waiting = post.letters_not_sent()
    context = {
        "sent": post.letters_are_sent(),
        "waiting": list(waiting[:LETTERS_SHOWN]),
        "count": waiting.count(),
        "page": stretch(request, post.letters_settled(), by="written_at", size=LETTERS_SHOWN),
    }
    return page(request, "office/letters.html", context)


@require_POST
@for_managers
def letter_again(request: HttpRequest, pk: int) -> HttpResponse:
    letter = _letter_or_404(pk)

    def act() -> str:
        version = version_seen(request)
        try_again(letter, by=request.user, expected_version=version, now=timezone.now())
        messages.success(request, _("The letter is tried again now."))
        return reverse("office:letters")

    return once(request, act)


@require_POST
@for_managers
def letter_drop(request: HttpRequest, pk: int) -> HttpResponse:
    letter = _letter_or_404(pk)

    def act() -> str:
        drop_letter(letter, by=request.user, expected_version=version_seen(request))
        messages.success(request, _("The letter is dropped; nobody gets it."))
        return reverse("office:letters")

    return once(request, act)


def _letter_or_404(pk: int) -> Any:
    letter = post.letter_by_id(pk)
    if letter is None:
        raise Http404
    return letter
