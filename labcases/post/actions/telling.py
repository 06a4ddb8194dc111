"""What happened becomes letters for who wants to hear of it, at once or in the morning."""

import datetime
import uuid

from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from labcases.cases.actions.completeness import missing_now
from labcases.cases.models import Event, Untold
from labcases.people.models import User
from labcases.post.choices import News, Rhythm
from labcases.post.models import Letter, Line, Subscription
from labcases.post.queries import (
    cases_that_wait,
    letters_are_sent,
    lines_for_the_morning,
    morning_readers,
    readers_of,
    told_lately,
)
from labcases.post.rules import in_language_of, news_of, on_our_clock

AT_ONCE = 100
# After a long standstill nobody wants to hear what has long since been seen.
NEWS_FOR = datetime.timedelta(days=7)
MOST_WAITING = 40


@transaction.atomic
def tell_news(*, now: datetime.datetime) -> int:
    """Look at what happened and write what is worth a letter; return how much was looked at."""
    untold = list(
        Untold.objects.select_for_update(skip_locked=True, of=("self",))
        .select_related("event__case", "event__stage", "event__by")
        .order_by("pk")[:AT_ONCE]
    )
    for each in untold:
        if letters_are_sent() and each.event.at > now - NEWS_FOR:
            _tell(each.event, now)
    Untold.objects.filter(pk__in=[each.pk for each in untold]).delete()
    return len(untold)


def _tell(event: Event, now: datetime.datetime) -> None:
    readers = list(readers_of(event.case, besides=event.by))
    news = _news_of(event) if readers else None
    for reader in readers:
        if news and not (news == News.INCOMPLETE and told_lately(reader.person, event, news)):
            _write_line(reader, event, news, now)


def _news_of(event: Event) -> News | None:
    return news_of(
        event.act,
        by_laboratory=not event.by.is_clinician,
        complete=not missing_now(event.case),
        stage_state=event.stage.state if event.stage else "",
    )


def _write_line(reader: Subscription, event: Event, news: News, now: datetime.datetime) -> None:
    letter = _letter_at_once(reader, event, news, now) if reader.rhythm == Rhythm.AT_ONCE else None
    Line.objects.create(
        person=reader.person, letter=letter, case=event.case, event=event, news=news, at=event.at
    )


def _letter_at_once(reader: Subscription, event: Event, news: News, now: datetime.datetime) -> Letter:
    """A letter of its own, or the one that this look at the news has begun: a hundred cases taken in from a file,
    or a box with ten handed over, are no hundred and no ten letters."""
    begun = Letter.objects.filter(person=reader.person, written_at=now, tries=0).first()
    if begun is None:
        return _letter(reader.person, reader.address, _subject_of_one(reader.person, event, news), now=now)
    cases = {*begun.lines.values_list("case_id", flat=True), event.case_id}
    if len(cases) > 1:
        Letter.objects.filter(pk=begun.pk).update(subject=_subject_of_many(reader.person, len(cases)))
    return begun


def _subject_of_one(person: User, event: Event, news: News) -> str:
    with in_language_of(person):
        return _("Case {number} {news}").format(number=event.case.number, news=news.label)


def _subject_of_many(person: User, count: int) -> str:
    with in_language_of(person):
        return _("{count} cases with news for you").format(count=count)


@transaction.atomic
def gather_morning_letters(*, now: datetime.datetime) -> int:
    """One letter for everybody who wants one a day and for whom there is something in it."""
    return sum(_gather(reader, now) for reader in morning_readers(now))


def _gather(reader: Subscription, now: datetime.datetime) -> bool:
    today = on_our_clock(now).date()
    same = Subscription.objects.filter(pk=reader.pk, version=reader.version).exclude(gathered_on=today)
    if not same.update(gathered_on=today):
        return False
    waiting = lines_for_the_morning(reader.person)
    overdue = list(cases_that_wait(reader, today)[:MOST_WAITING])
    cases = {line.case_id for line in waiting} | {case.pk for case in overdue}
    if not cases:
        return False
    subject = _subject_of_the_morning(reader.person, len(cases), today)
    letter = _letter(reader.person, reader.address, subject, now=now)
    waiting.update(letter=letter)
    Line.objects.bulk_create(
        Line(person=reader.person, letter=letter, case=case, news=News.WAITS, at=now) for case in overdue
    )
    return True


def _subject_of_the_morning(person: User, count: int, today: datetime.date) -> str:
    with in_language_of(person):
        words = ngettext("One case: your letter of {day}", "{count} cases: your letter of {day}", count)
        return words.format(count=count, day=date_format(today, "D j M"))


def _letter(person: User, address: str, subject: str, *, now: datetime.datetime) -> Letter:
    return Letter.objects.create(
        person=person,
        address=address,
        subject=subject[:200],
        message_id=uuid.uuid4(),
        written_at=now,
        next_try_at=now,
    )
