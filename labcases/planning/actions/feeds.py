"""Calendar feeds: a new unguessable address, and its end."""

import datetime
import secrets

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.people.access import may_manage, works_in_laboratory
from labcases.people.models import Practice, User
from labcases.people.refusals import NotAllowed
from labcases.planning.models import CalendarFeed


@transaction.atomic
def make_feed(*, of: User | Practice, by: User, now: datetime.datetime) -> CalendarFeed:
    """Make a calendar address for a person at the bench or a practice; an older one stops working."""
    _require_own(of, by)
    owner = _owner(of)
    CalendarFeed.objects.filter(revoked_at__isnull=True, **owner).update(revoked_at=now)
    return CalendarFeed.objects.create(token=secrets.token_urlsafe(32), made_by=by, made_at=now, **owner)


@transaction.atomic
def revoke_feed(*, of: User | Practice, by: User, now: datetime.datetime) -> int:
    """Make the calendar address stop working; programs that read it find nothing from then on."""
    _require_own(of, by)
    return CalendarFeed.objects.filter(revoked_at__isnull=True, **_owner(of)).update(revoked_at=now)


def _owner(of: User | Practice) -> dict[str, User | Practice]:
    return {"practice": of} if isinstance(of, Practice) else {"person": of}


def _require_own(of: User | Practice, by: User) -> None:
    if isinstance(of, Practice):
        allowed = may_manage(by) or (by.is_active and by.is_clinician and by.practice_id == of.pk)
    else:
        allowed = works_in_laboratory(of) and (may_manage(by) or (by.is_active and by.pk == of.pk))
    if not allowed:
        raise NotAllowed(_("A calendar address is made by its owner or a lab manager."))
