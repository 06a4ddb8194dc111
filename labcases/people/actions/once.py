import hashlib
from collections.abc import Callable

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from labcases.people.models import OneTimeKey, User
from labcases.people.refusals import Refused


def do_once(*, key: str, user: User, act: Callable[[], str]) -> str:
    """Run `act` unless a form with this key was already answered; either way return where the answer leads.

    The key is taken in the transaction of the act itself: if the act fails, the key is free again, and of
    several equal forms sent at once the later ones wait for the first and then lead to its answer.
    """
    if not key:
        raise Refused(
            _("This page is from an earlier version of the program. Load it again and repeat your entry.")
        )
    try:
        with transaction.atomic():
            taken = OneTimeKey.objects.create(key=digest_of(key, user), user=user)
            taken.answer = act()
            taken.save(update_fields=["answer"])
    except IntegrityError:
        first = earlier_answer(key=key, user=user)
        if first is None:
            raise
        return first
    return taken.answer


def earlier_answer(*, key: str, user: User) -> str | None:
    """Where the answer of a form with this key led, or None while it has none."""
    return OneTimeKey.objects.filter(key=digest_of(key, user)).values_list("answer", flat=True).first()


def digest_of(key: str, user: User) -> str:
    return hashlib.sha256(f"{user.pk}:{key}".encode(errors="replace")).hexdigest()
