"""Ending sessions: somebody's own, or all of a person who may not come in any more."""

import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.people.models import Session, User
from labcases.people.refusals import Refused
from labcases.people.sessions import handle_of


def still_here(*, session_key: str, now: datetime.datetime) -> None:
    Session.objects.filter(pk=session_key).update(seen_at=now)


@transaction.atomic
def end_session(*, handle: str, of: User) -> None:
    """End the one of a person's sessions that this handle means. Raises Refused where it has ended already."""
    keys = Session.objects.filter(user=of).values_list("pk", flat=True)
    key = next((key for key in keys if handle_of(key) == handle), None)
    if key is None:
        raise Refused(_("This session has ended already."))
    Session.objects.filter(pk=key).delete()


@transaction.atomic
def end_sessions(*, of: User, besides: str = "") -> int:
    """End all sessions of a person but the one with the key `besides`; return how many there were."""
    return Session.objects.filter(user=of).exclude(pk=besides).delete()[0]
