"""What is worth a letter, when it is tried again, and what a mail server's answer means. No clock, no database."""

import datetime
import smtplib
from contextlib import AbstractContextManager

from django.conf import settings
from django.utils import translation
from django.utils.timezone import get_current_timezone
from django.utils.translation import gettext as _

from labcases.cases.choices import Act, StageState
from labcases.people.models import User
from labcases.post.choices import News

MINUTE = datetime.timedelta(minutes=1)
HOUR = 60 * MINUTE
# The pause after each try that failed. A server that is down for a weekend loses nothing; then a person looks at it.
PAUSES = (MINUTE, 5 * MINUTE, 15 * MINUTE, HOUR, 3 * HOUR, *[6 * HOUR] * 12)
# A lab manager who writes a prescription in five steps sends one letter, not five.
SAME_NEWS_AFTER = 24 * HOUR
MORNING = 7


def on_our_clock(moment: datetime.datetime) -> datetime.datetime:
    """A moment on the laboratory's own clock, by which its letters tell the time."""
    return moment.astimezone(get_current_timezone())


def in_language_of(person: User) -> AbstractContextManager[None]:
    """A letter is in the language that its reader chose, else in the laboratory's: no browser asks for another."""
    return translation.override(person.language or settings.LANGUAGE_CODE)


def pause_after(tries: int) -> datetime.timedelta | None:
    """How long to wait after so many tries; None where it is time to give up."""
    return PAUSES[tries - 1] if tries <= len(PAUSES) else None


def news_of(act: str, *, by_laboratory: bool, complete: bool, stage_state: str) -> News | None:
    """What an event in a case's log means for its practice; None where it needs no letter."""
    if act == Act.HANDED_OVER:
        return News.ON_ITS_WAY
    if act == Act.HELD and by_laboratory and stage_state == StageState.ON_HOLD:
        return News.ON_HOLD
    if act in (Act.OPENED, Act.PRESCRIPTION_CHANGED, Act.RECEIVED) and by_laboratory and not complete:
        return News.INCOMPLETE
    return None


def failure_in_words(error: Exception) -> str:
    """Why a letter was not taken, without the address: it stands beside the letter already."""
    if isinstance(error, smtplib.SMTPAuthenticationError):
        return _("The mail server did not accept the site's own name and password.")
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        words = _("The mail server does not take letters to this address ({code}).")
        return words.format(code=_code(error))
    if isinstance(error, smtplib.SMTPResponseException):
        return _("The mail server answered {code}.").format(code=error.smtp_code)
    if isinstance(error, OSError):
        words = _("The mail server does not answer ({why}).")
        return words.format(why=error.strerror or type(error).__name__)
    return _("The letter could not be handed over ({why}).").format(why=type(error).__name__)


def _code(error: smtplib.SMTPRecipientsRefused) -> str:
    return ", ".join(sorted({str(code) for code, _ in error.recipients.values()}))
