"""What the worker does by itself, and when each of it is due."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.utils import timezone
from django_tasks import task

from labcases.operation.scheduled import see_to_the_night
from labcases.post.actions.delivering import deliver
from labcases.post.actions.telling import gather_morning_letters, tell_news
from labcases.post.queries import is_post_due, letters_are_sent
from labcases.upkeep.queries import backup_day_due, is_under_way

NIGHT = "night"


@dataclass(frozen=True)
class Duty:
    """A task without arguments that is enqueued when it is due and not under way already."""

    task: Any
    is_due: Callable[[datetime.datetime], object]


@task()
def see_to_letters() -> str:
    """Look at what happened, write letters about it, send what is due."""
    now = timezone.now()
    while tell_news(now=now):
        pass
    if not letters_are_sent():
        return "this site sends no letters"
    gather_morning_letters(now=now)
    sent, failed = deliver(now=now)
    return f"sent: {sent}; not taken: {failed}"


@task(queue_name=NIGHT)
def nightly() -> str:
    night = see_to_the_night(now=timezone.now())
    return f"{night.cleared}; backup: {night.made.path.name if night.made else 'none due'}"


def _backup_is_due(now: datetime.datetime) -> object:
    return backup_day_due(timezone.localtime(now), hour=settings.BACKUP_HOUR)


DUTIES = [Duty(see_to_letters, is_post_due), Duty(nightly, _backup_is_due)]


def enqueue_due(now: datetime.datetime) -> list[str]:
    """Hand the worker what is due now. Of two that do so at once, the second finds nothing left to do."""
    due = [duty.task for duty in DUTIES if duty.is_due(now) and not is_under_way(duty.task.module_path)]
    for each in due:
        each.enqueue()
    return [each.module_path for each in due]
