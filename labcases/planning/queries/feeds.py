"""What a calendar feed shows: case numbers and stages, no person's name and no patient's code."""

import datetime

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from labcases.cases.choices import CaseState, Place
from labcases.cases.models import Stage
from labcases.people.models import Practice, User
from labcases.planning.models import CalendarFeed, PlannedWork
from labcases.planning.scheduling.feeds import Entry, calendar_text

DAY = datetime.timedelta(days=1)


def feed_by_token(token: str) -> CalendarFeed | None:
    """The feed that an address means; None for a revoked one, an unknown one, and one whose owner has left."""
    if not (token.isascii() and token.isprintable()):
        return None
    feed = (
        CalendarFeed.objects.filter(token=token, revoked_at__isnull=True)
        .select_related("person", "practice")
        .first()
    )
    if feed is None:
        return None
    owner = feed.person or feed.practice
    return feed if owner is not None and owner.is_active else None


def owner_for(user: User) -> User | Practice:
    """Whose days somebody's own feed shows: a clinician's practice's, everybody else's own."""
    return user.practice if user.is_clinician and user.practice else user


def feed_of(owner: User | Practice) -> CalendarFeed | None:
    mine = {"practice": owner} if isinstance(owner, Practice) else {"person": owner}
    return CalendarFeed.objects.filter(revoked_at__isnull=True, **mine).first()


def feed_text(feed: CalendarFeed, *, now: datetime.datetime) -> bytes:
    """The feed as an iCalendar file, in its person's language; a practice's is in the laboratory's."""
    own = feed.person.language if feed.person is not None else ""
    with translation.override(own or settings.LANGUAGE_CODE):
        name, entries = _contents(feed)
        return calendar_text(name, entries, now=now)


def _contents(feed: CalendarFeed) -> tuple[str, list[Entry]]:
    if feed.practice is not None:
        name = _("Laboratory work, {practice}").format(practice=feed.practice.code)
        return name, practice_entries(feed.practice)
    assert feed.person is not None
    return _("My laboratory work"), bench_entries(feed.person)


def bench_entries(person: User) -> list[Entry]:
    """A person's open stages: at their planned hours, or on their day where no hours are known."""
    stages = (
        Stage.objects.open()
        .given_to(person)
        .filter(place=Place.LABORATORY, case__state=CaseState.OPEN)
        .select_related("case", "case__practice")
        .order_by("due_on", "pk")
    )
    planned = {row.stage_id: row for row in PlannedWork.objects.filter(person=person, stage__in=stages)}
    entries = (_bench_entry(stage, planned.get(stage.pk)) for stage in stages)
    return [entry for entry in entries if entry is not None]


def _bench_entry(stage: Stage, planned: PlannedWork | None) -> Entry | None:
    summary = f"{stage.case.number} {stage.label}"
    practice = stage.case.practice.code
    words = _("Practice {practice}").format(practice=practice)
    if stage.due_on:
        words = _("Practice {practice}, due {day}").format(practice=practice, day=stage.due_on)
    if planned is not None and planned.starts_at and planned.ends_at:
        return Entry(_uid(stage), summary, planned.starts_at, planned.ends_at, words, busy=True)
    day = stage.planned_on or stage.due_on
    return Entry(_uid(stage), summary, day, day + DAY, words) if day else None


def practice_entries(practice: Practice) -> list[Entry]:
    """The days on which a practice's cases are wanted back, for each visit to come."""
    stages = (
        Stage.objects.open()
        .filter(place=Place.CLINIC, due_on__isnull=False, case__practice=practice, case__state=CaseState.OPEN)
        .select_related("case")
        .order_by("due_on", "pk")
    )
    return [
        Entry(
            _uid(stage),
            f"{stage.case.number} {stage.label}",
            stage.due_on,
            stage.due_on + DAY,
            f"{stage.case.get_location_display()}.",
        )
        for stage in stages
        if stage.due_on
    ]


def _uid(stage: Stage) -> str:
    return f"{stage.case.number}-{stage.kind}-{stage.visit}@labcases"
