import datetime

from django.conf import settings
from django.db.models import Q, QuerySet

from labcases.cases.models import Case, Event, Untold
from labcases.people.choices import Role
from labcases.people.models import User
from labcases.people.queries import digest_of_key
from labcases.post.choices import NOT_SENT, LetterState, News, Rhythm
from labcases.post.models import CaseLink, Letter, Line, Subscription
from labcases.post.rules import MORNING, SAME_NEWS_AFTER, on_our_clock


def letters_are_sent() -> bool:
    """Whether this site was told how to send e-mail."""
    return bool(settings.LETTERS)


def subscription_of(person: User) -> Subscription:
    """What a person chose, or an unsaved row with what holds for who chose nothing."""
    return Subscription.objects.filter(person=person).first() or Subscription(person=person, version=0)


def readers_of(case: Case, *, besides: User) -> QuerySet[Subscription]:
    """Who at the case's practice wants letters about it: the prescriber, whoever follows all cases of the practice,
    and where no prescriber is named everybody there. Who did it themselves knows already."""
    theirs = Q(whole_practice=True) | Q(person_id=case.prescriber_id)
    if case.prescriber_id is None:
        theirs = Q()
    return _subscribed().filter(theirs, person__practice_id=case.practice_id).exclude(person=besides)


def _subscribed() -> QuerySet[Subscription]:
    return (
        Subscription.objects.exclude(rhythm=Rhythm.NEVER)
        .filter(person__is_active=True, person__role=Role.CLINICIAN)
        .select_related("person")
        .order_by("pk")
    )


def told_lately(person: User, event: Event, news: str) -> bool:
    since = event.at - SAME_NEWS_AFTER
    return Line.objects.filter(person=person, case_id=event.case_id, news=news, at__gt=since).exists()


def morning_readers(now: datetime.datetime) -> QuerySet[Subscription]:
    """Whose letter of this morning is still to be gathered."""
    local = on_our_clock(now)
    if local.hour < MORNING:
        return Subscription.objects.none()
    return _subscribed().filter(rhythm=Rhythm.DAILY).exclude(gathered_on=local.date())


def lines_for_the_morning(person: User) -> QuerySet[Line]:
    return Line.objects.filter(person=person, letter=None)


def cases_that_wait(subscription: Subscription, today: datetime.date) -> QuerySet[Case]:
    """Cases at the practice whose appointment has passed and of which nothing was heard since."""
    person = subscription.person
    found = Case.objects.visible_to(person).overdue_at_clinic(today)
    return found if subscription.whole_practice else found.filter(Q(prescriber=person) | Q(prescriber=None))


def letters_due(now: datetime.datetime) -> QuerySet[Letter]:
    due = Letter.objects.filter(state=LetterState.WAITING, next_try_at__lte=now)
    return due.select_related("person").order_by("next_try_at", "pk")


def is_post_due(now: datetime.datetime) -> bool:
    """Whether there is news to look at, a morning's letter to gather or a letter to send."""
    return Untold.objects.exists() or (
        letters_are_sent() and (letters_due(now).exists() or morning_readers(now).exists())
    )


def letters_not_sent() -> QuerySet[Letter]:
    return Letter.objects.filter(state__among=NOT_SENT).select_related("person").order_by("written_at", "pk")


def letters_settled() -> QuerySet[Letter]:
    """Those that were sent or dropped, until they are cleared away."""
    return Letter.objects.exclude(state__in=NOT_SENT).select_related("person", "settled_by")


def letter_by_id(pk: int) -> Letter | None:
    return Letter.objects.filter(pk=pk).first() if pk < 2**63 else None


def link_by_token(token: str) -> CaseLink | None:
    return CaseLink.objects.select_related("case", "person").filter(digest=digest_of_key(token)).first()


def lines_of(letter: Letter) -> list[Line]:
    lines = letter.lines.select_related("case", "event__stage", "case__current_stage")
    urgent = [News.INCOMPLETE, News.ON_HOLD, News.WAITS, News.ON_ITS_WAY]
    return sorted(lines, key=lambda line: (urgent.index(News(line.news)), line.case.number))
