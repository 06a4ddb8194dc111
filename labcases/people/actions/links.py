"""Addresses by which one person sets a password, once: an invitation, or a way back for who lost theirs."""

import datetime
import secrets

from django.contrib.auth.password_validation import validate_password
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from labcases.people.access import may_manage
from labcases.people.actions.sessions import end_sessions
from labcases.people.models import SignInLink, User
from labcases.people.queries import digest_of_key, open_link
from labcases.people.refusals import NotAllowed, Refused

INVITATION_LASTS = datetime.timedelta(days=7)
RESET_LASTS = datetime.timedelta(hours=2)
GONE = gettext_lazy(
    "This link has been used, has run out, or a newer one was made. The lab manager can make another."
)


@transaction.atomic
def make_link(person: User, *, by: User | None, now: datetime.datetime) -> tuple[str, SignInLink]:
    """Return the key to hand over, with its row, which keeps only its digest; links made before are void.

    `by` is None at the command line of the machine itself, for the manager who is locked out.
    """
    if by is not None and not may_manage(by):
        raise NotAllowed(_("Only a lab manager can make a link by which somebody sets a password."))
    if not person.is_active:
        raise Refused(
            _("{person} no longer works with us, so no link was made.").format(person=person.display_name)
        )
    _void_links(person, now=now)
    key = secrets.token_urlsafe(32)
    lasts = RESET_LASTS if person.has_usable_password() else INVITATION_LASTS
    link = SignInLink.objects.create(
        user=person, digest=digest_of_key(key), made_by=by, made_at=now, expires_at=now + lasts
    )
    return key, link


@transaction.atomic
def set_password_by_link(*, key: str, password: str, now: datetime.datetime) -> User:
    """Take the link and set the password. Raises Refused for a link that is not open any more."""
    link = open_link(key, now=now)
    if link is None or not SignInLink.objects.filter(pk=link.pk, ended_at=None).update(ended_at=now):
        raise Refused(str(GONE))
    validate_password(password, link.user)
    link.user.set_password(password)
    link.user.save(update_fields=["password"])
    _void_links(link.user, now=now)
    end_sessions(of=link.user)
    return link.user


def _void_links(person: User, *, now: datetime.datetime) -> None:
    SignInLink.objects.filter(user=person, ended_at=None).update(ended_at=now)
