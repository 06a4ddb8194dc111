"""What stands in a letter: a case's number, what happened, a way to it. Nothing of the patient, and no figures."""

import datetime
import textwrap

from django.conf import settings
from django.core.mail import EmailMessage
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from labcases.post.actions.links import make_link
from labcases.post.choices import News
from labcases.post.models import Letter, Line
from labcases.post.queries import lines_of
from labcases.post.rules import in_language_of, on_our_clock

WIDTH = 76


def message_of(letter: Letter, *, now: datetime.datetime) -> EmailMessage:
    """The letter as it goes out now, in its reader's language and with fresh links."""
    host = settings.PUBLIC_URL.rpartition("/")[2].partition(":")[0]
    with in_language_of(letter.person):
        body = _about_cases(letter, now)
    return EmailMessage(
        subject=letter.subject,
        body=body,
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[letter.address],
        headers={"Message-ID": f"<{letter.message_id}@{host}>", "Auto-Submitted": "auto-generated"},
    )


def _about_cases(letter: Letter, now: datetime.datetime) -> str:
    until = _moment(now + datetime.timedelta(minutes=settings.LINK_MINUTES))
    once = _("Each address opens once, until {moment}, and leads through your sign-in.")
    parts = [
        *(_about(line, letter, now) for line in lines_of(letter)),
        _filled(once.format(moment=until)),
        _filled(_("You get letters because you asked for them. To change that:"))
        + f"\n{settings.PUBLIC_URL}{reverse('clinic:letters')}",
        _filled(_("Nobody reads what is sent to this address. A letter never asks for your password.")),
    ]
    return "\n\n".join(parts) + "\n"


def _about(line: Line, letter: Letter, now: datetime.datetime) -> str:
    token = make_link(person=letter.person, case=line.case, now=now)
    told = _("Case {number} {news}").format(number=line.case.number, news=line.get_news_display())
    words = _filled(f"{told}. {_further(line)}")
    return f"{words}\n{settings.PUBLIC_URL}{reverse('case_link', args=[token])}"


def _further(line: Line) -> str:
    if line.news == News.WAITS:
        return f"{line.case.current_stage.label}." if line.case.current_stage else ""
    if line.news == News.ON_ITS_WAY and line.event.stage:
        words = _("{stage} is next. Handed over {moment}.")
        return words.format(stage=line.event.stage.label, moment=_moment(line.at))
    return f"{_moment(line.at)}."


def _moment(value: datetime.datetime) -> str:
    return date_format(on_our_clock(value), "D j M, H:i")


def _filled(text: str) -> str:
    return textwrap.fill(text.strip(), WIDTH, break_long_words=False, break_on_hyphens=False)
