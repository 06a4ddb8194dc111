"""Devices that several people share at the bench, and changing over at one by a PIN.

A person is at a bench device from a full sign-in there until its session ends. Locking sets the session aside with
all that was typed; the PIN takes it up again. Both give it a new key, so that no browser keeps one to it meanwhile.
"""

import datetime
import secrets
from typing import Any

from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from labcases.people.access import may_manage, may_work_at_bench
from labcases.people.models import BenchDevice, BenchPin, Session, User
from labcases.people.queries import digest_of_key
from labcases.people.refusals import NotAllowed, Refused
from labcases.people.rules import pin_fault
from labcases.people.sessions import BACK, BEGAN, BENCH, DEVICE, LOCKED, SessionStore

MOST_WRONG_TRIES = 5
# What belongs to one sign-in and not to what its person was doing.
OF_THE_SIGN_IN = {SESSION_KEY, BACKEND_SESSION_KEY, HASH_SESSION_KEY, BEGAN, DEVICE, BENCH, LOCKED}


@transaction.atomic
def make_bench_device(*, name: str, by: User, now: datetime.datetime) -> tuple[str, BenchDevice]:
    """Return the key that the device keeps, which is kept nowhere else, with its row."""
    if not may_work_at_bench(by):
        raise NotAllowed(_("Only who works in the laboratory can make this a bench device."))
    key = secrets.token_urlsafe(32)
    device = BenchDevice.objects.create(name=name, digest=digest_of_key(key), made_by=by, made_at=now)
    return key, device


@transaction.atomic
def revoke_bench_device(device: BenchDevice, *, by: User, now: datetime.datetime) -> None:
    """From now on it is a device like any other, and everybody is signed out there."""
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager can revoke a bench device."))
    if not BenchDevice.objects.filter(pk=device.pk, revoked_at=None).update(revoked_at=now):
        raise Refused(_("{device} has been revoked already.").format(device=device.name))
    Session.objects.filter(bench_device=device).delete()


@transaction.atomic
def set_pin(user: User, *, pin: str, now: datetime.datetime) -> None:
    if not may_work_at_bench(user):
        raise NotAllowed(_("Only who works at the bench has a PIN."))
    if fault := pin_fault(pin):
        raise Refused(fault)
    kept = {"code": make_password(pin), "wrong_tries": 0, "set_at": now}
    BenchPin.objects.update_or_create(user=user, defaults=kept)


@transaction.atomic
def remove_pin(user: User) -> None:
    BenchPin.objects.filter(user=user).delete()


def pin_fits(user: User, *, pin: str) -> bool:
    """Try a PIN. A try is counted before it is looked at; after five wrong ones only a full sign-in helps."""
    # On the row's own columns alone: through a join, PostgreSQL would not look at the count again after a wait.
    rows = BenchPin.objects.filter(user=user)
    if not rows.filter(wrong_tries__lt=MOST_WRONG_TRIES).update(wrong_tries=F("wrong_tries") + 1):
        return False
    pin_now = rows.filter(user__is_active=True).values_list("code", flat=True).first()
    fits = pin_now is not None and check_password(pin, pin_now)
    if fits:
        rows.update(wrong_tries=0)
    return fits


def pin_starts_anew(user: User) -> None:
    """After a full sign-in."""
    BenchPin.objects.filter(user=user).exclude(wrong_tries=0).update(wrong_tries=0)


@transaction.atomic
def set_aside(session: SessionStore, *, back: str) -> None:
    """Lock a session at a bench device; `back` is the address that its person was at."""
    session[LOCKED], session[BACK] = True, back
    session.cycle_key()


@transaction.atomic
def take_up(row: Session, *, drop: tuple[str, ...] = ()) -> tuple[SessionStore, str] | None:
    """Unlock a session that was set aside, without what `drop` names; None if it has ended meanwhile."""
    session = SessionStore(row.pk)
    if SESSION_KEY not in session:
        return None
    for name in (LOCKED, *drop):
        session.pop(name, None)
    back = session.pop(BACK, "")
    session.cycle_key()
    return session, back


@transaction.atomic
def carried_over(user: User, *, device: BenchDevice) -> dict[str, Any]:
    """End what this person has set aside here, and return what they were doing: a full sign-in goes on with it."""
    rows = Session.objects.filter(user=user, bench_device=device).order_by("seen_at")
    carried: dict[str, Any] = {}
    for row in rows:
        carried |= SessionStore(row.pk).load()
    rows.delete()
    return {name: value for name, value in carried.items() if name not in OF_THE_SIGN_IN}
