"""What is worth a letter, when it is tried again, and what a mail server's answer means. No clock, no database."""

import datetime
import smtplib

from django.utils.timezone import get_current_timezone

from labcases.cases.choices import Act, StageState
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
        return "The mail server did not accept the site's own name and password."
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return f"The mail server does not take letters to this address ({_code(error)})."
    if isinstance(error, smtplib.SMTPResponseException):
        return f"The mail server answered {error.smtp_code}."
    if isinstance(error, OSError):
        return f"The mail server does not answer ({error.strerror or type(error).__name__})."
    return f"The letter could not be handed over ({type(error).__name__})."


def _code(error: smtplib.SMTPRecipientsRefused) -> str:
    return ", ".join(sorted({str(code) for code, _ in error.recipients.values()}))
