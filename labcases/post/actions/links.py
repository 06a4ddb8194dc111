"""Addresses in letters that lead to one case. They sign nobody in: whoever finds one finds the sign-in."""

import datetime
import secrets

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.models import Case
from labcases.people.models import User
from labcases.people.queries import digest_of_key
from labcases.people.refusals import Refused
from labcases.post.models import CaseLink


@transaction.atomic
def make_link(*, person: User, case: Case, now: datetime.datetime) -> str:
    """The secret part of an address that leads to the case; only its digest is kept."""
    token = secrets.token_urlsafe(32)
    expires_at = now + datetime.timedelta(minutes=settings.LINK_MINUTES)
    CaseLink.objects.create(
        digest=digest_of_key(token), person=person, case=case, made_at=now, expires_at=expires_at
    )
    return token


@transaction.atomic
def use_link(link: CaseLink, *, now: datetime.datetime) -> None:
    """Use it up. Raises Refused if it was used before or its time is over."""
    fresh = CaseLink.objects.filter(pk=link.pk, used_at=None, expires_at__gt=now)
    if not fresh.update(used_at=now):
        raise Refused(_("This address was used before, or its time is over."))
