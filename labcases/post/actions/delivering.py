"""Letters go to the mail server, one by one. What it does not take stays and is tried again, ever more seldom."""

import datetime
import logging
import smtplib

from django.conf import settings
from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.db.models import F
from django.utils import translation
from django.utils.translation import gettext as _

from labcases.people.access import may_manage
from labcases.people.models import User
from labcases.people.refusals import Conflict, NotAllowed
from labcases.post.actions.wording import message_of
from labcases.post.choices import NOT_SENT, LetterState
from labcases.post.models import CaseLink, Letter
from labcases.post.queries import letters_due
from labcases.post.rules import failure_in_words, pause_after

AT_ONCE = 100
DAY = datetime.timedelta(days=1)
SENT_KEPT = 90 * DAY
LINKS_KEPT = 30 * DAY
logger = logging.getLogger(__name__)


def deliver(*, now: datetime.datetime) -> tuple[int, int]:
    """Send what is due; how many went and how many did not. A server that does not answer ends the round."""
    sent = failed = 0
    server = get_connection()
    for letter in letters_due(now)[:AT_ONCE]:
        if not _claim(letter, now):
            continue
        error = _send(letter, server, now)
        sent, failed = sent + (error is None), failed + (error is not None)
        if isinstance(error, OSError) and not isinstance(error, smtplib.SMTPException):
            break
    server.close()
    return sent, failed


def _send(letter: Letter, server: BaseEmailBackend, now: datetime.datetime) -> Exception | None:
    """Outside any transaction: a mail server may take its time, and what it took can't be taken back."""
    try:
        # Opened here it serves all letters of the round.
        server.open()
        server.send_messages([message_of(letter, now=now)])
    except Exception as error:
        logger.warning("a letter was not taken", exc_info=error)
        server.close()
        _note_failure(letter, error, now)
        return error
    _note_sent(letter, now)
    return None


@transaction.atomic
def _claim(letter: Letter, now: datetime.datetime) -> bool:
    """Make the try this worker's own; should it die over it, the next try comes after the pause."""
    letter.tries += 1
    pause = pause_after(letter.tries) or DAY
    return bool(
        Letter.objects.filter(pk=letter.pk, state=LetterState.WAITING, version=letter.version).update(
            tries=letter.tries, next_try_at=now + pause, version=F("version") + 1
        )
    )


@transaction.atomic
def _note_sent(letter: Letter, now: datetime.datetime) -> None:
    Letter.objects.filter(pk=letter.pk, state__in=NOT_SENT).update(
        state=LetterState.SENT, sent_at=now, failure="", version=F("version") + 1
    )


@transaction.atomic
def _note_failure(letter: Letter, error: Exception, now: datetime.datetime) -> None:
    over = pause_after(letter.tries) is None or _is_final(error)
    state = LetterState.GIVEN_UP if over else LetterState.WAITING
    with translation.override(settings.LANGUAGE_CODE):
        failure = failure_in_words(error)[:200]
    Letter.objects.filter(pk=letter.pk, state=LetterState.WAITING).update(
        state=state, failure=failure, version=F("version") + 1
    )


def _is_final(error: Exception) -> bool:
    """Whether the server says that it will never take letters to this address (RFC 5321, 5yz replies)."""
    if not isinstance(error, smtplib.SMTPRecipientsRefused):
        return False
    return all(code >= 500 for code, _words in error.recipients.values())


@transaction.atomic
def try_again(letter: Letter, *, by: User, expected_version: int, now: datetime.datetime) -> None:
    """Have the letter tried at once, with all its tries before it again."""
    _settle(letter, by, expected_version, state=LetterState.WAITING, next_try_at=now, tries=0)


@transaction.atomic
def drop_letter(letter: Letter, *, by: User, expected_version: int) -> None:
    """Never send it; who dropped it is kept."""
    _settle(letter, by, expected_version, state=LetterState.DROPPED, settled_by=by)


def _settle(letter: Letter, by: User, expected_version: int, **changes: object) -> None:
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager sees to letters."))
    changed = Letter.objects.filter(pk=letter.pk, state__in=NOT_SENT, version=expected_version).update(
        version=F("version") + 1, **changes
    )
    if not changed:
        raise Conflict(_("This letter was tried, sent or dropped while the page was open."))


@transaction.atomic
def clear_letters(*, now: datetime.datetime) -> int:
    """Delete letters and links that have served their time; what was not sent stays until somebody decides."""
    CaseLink.objects.filter(expires_at__lt=now - LINKS_KEPT).delete()
    gone, _per_model = (
        Letter.objects.exclude(state__in=NOT_SENT).filter(written_at__lt=now - SENT_KEPT).delete()
    )
    return gone
