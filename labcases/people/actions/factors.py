"""What a person proves themselves with beside the password: codes of an app, passkeys, recovery codes.

The library keeps the rows and knows the arithmetic (RFC 6238, RFC 4226, WebAuthn). What it leaves to one process's
memory is kept in the row here: a code of the app is taken once, whichever process is asked first.
"""

import datetime
from typing import Any

from allauth.core.internal.cryptokit import compare_user_code
from allauth.mfa import app_settings
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value
from allauth.mfa.utils import decrypt, encrypt
from allauth.mfa.webauthn.internal.auth import WebAuthn
from django.db import transaction
from django.utils.translation import gettext as _

from labcases.people.access import may_manage
from labcases.people.actions.library import SecretLost
from labcases.people.actions.sessions import end_sessions
from labcases.people.models import User
from labcases.people.queries import MAIN_FACTORS, has_second_factor
from labcases.people.refusals import NotAllowed, Refused

TOTP, PASSKEY, RECOVERY = (
    Authenticator.Type.TOTP,
    Authenticator.Type.WEBAUTHN,
    Authenticator.Type.RECOVERY_CODES,
)
# A clock may be this many steps of thirty seconds ahead or behind.
STEPS_OFF = 1
MOST_PASSKEYS = 10


@transaction.atomic
def add_app(user: User, *, secret: str, code: str, now: datetime.datetime) -> list[str]:
    """Add an app that makes codes from `secret`, proved by one of them; return recovery codes if it is the first."""
    _lock(user)
    counter = _fitting_counter(secret, code, now, after=0)
    if counter is None:
        raise Refused(
            _("This code does not fit. Is the device’s clock right? Type the code that the app shows now.")
        )
    if Authenticator.objects.filter(user=user, type=TOTP).exists():
        raise Refused(_("An app is set up already; remove it before you set up another."))
    data = {"secret": encrypt(secret), "last_counter": counter}
    Authenticator.objects.create(user=user, type=TOTP, data=data, created_at=now)
    return _first_recovery_codes(user)


@transaction.atomic
def add_passkey(
    user: User, *, name: str, credential: dict[str, Any], sign_count: int, now: datetime.datetime
) -> list[str]:
    """Add a passkey whose answer has been verified; return recovery codes if these are the first."""
    _lock(user)
    if Authenticator.objects.filter(user=user, type=PASSKEY).count() >= MOST_PASSKEYS:
        raise Refused(
            _("There are {count} passkeys already; remove one before you add another.").format(
                count=MOST_PASSKEYS
            )
        )
    row = WebAuthn.add(user, name, credential).instance
    row.data["sign_count"] = sign_count
    Authenticator.objects.filter(pk=row.pk).update(data=row.data, created_at=now)
    return _first_recovery_codes(user)


@transaction.atomic
def remove_factor(user: User, *, pk: int, is_needed: bool) -> None:
    """Remove an app or a passkey; `is_needed` says that this person's role may not be without any."""
    _lock(user)
    found = Authenticator.objects.filter(user=user, type__in=MAIN_FACTORS)
    if not found.filter(pk=pk).exists():
        raise Refused(_("This has been removed already."))
    if is_needed and found.count() == 1:
        raise Refused(_("Your role needs a second step. Add another one before you remove the last."))
    found.filter(pk=pk).delete()
    if not found.exists():
        Authenticator.objects.filter(user=user).delete()


@transaction.atomic
def new_recovery_codes(user: User) -> list[str]:
    """Ten codes that each stand in for the second step once; those made before no longer do."""
    _lock(user)
    if not has_second_factor(user):
        raise Refused(_("Recovery codes stand in for an app or a passkey; set one up first."))
    Authenticator.objects.filter(user=user, type=RECOVERY).delete()
    return RecoveryCodes.activate(user).generate_codes()


@transaction.atomic
def take_code(user: User, *, code: str, now: datetime.datetime) -> str:
    """Take a typed code, once: "app" or "recovery" says what it was, "" that it fits nothing."""
    _lock(user)
    rows = {row.type: row for row in Authenticator.objects.filter(user=user, type__in=(TOTP, RECOVERY))}
    try:
        if TOTP in rows and _take_app_code(rows[TOTP], code, now):
            return "app"
        if RECOVERY in rows and RecoveryCodes(rows[RECOVERY]).validate_code(code):
            Authenticator.objects.filter(pk=rows[RECOVERY].pk).update(last_used_at=now)
            return "recovery"
    except SecretLost:
        return ""
    return ""


@transaction.atomic
def passkey_used(row: Authenticator, *, sign_count: int, now: datetime.datetime) -> None:
    """Note a verified use. A counter that did not go on means that the key exists twice: Refused."""
    row = Authenticator.objects.select_for_update().get(pk=row.pk)
    before = row.data.get("sign_count", 0)
    if (sign_count or before) and sign_count <= before:
        raise Refused(
            _("This passkey may have been copied. Use another way in, remove it, and tell the lab manager.")
        )
    data = row.data | {"sign_count": sign_count}
    Authenticator.objects.filter(pk=row.pk).update(data=data, last_used_at=now)


@transaction.atomic
def reset_factors(person: User, *, by: User | None) -> None:
    """Take every second factor from somebody who lost theirs, and end their sessions.

    `by` is None at the command line of the machine itself.
    """
    if by is not None and not may_manage(by):
        raise NotAllowed(_("Only a lab manager can take the second step from somebody’s sign-in."))
    Authenticator.objects.filter(user=person).delete()
    end_sessions(of=person)


def _lock(user: User) -> None:
    User.objects.select_for_update().get(pk=user.pk)


def _first_recovery_codes(user: User) -> list[str]:
    if Authenticator.objects.filter(user=user, type=RECOVERY).exists():
        return []
    return RecoveryCodes.activate(user).generate_codes()


def _take_app_code(row: Authenticator, code: str, now: datetime.datetime) -> bool:
    last = row.data.get("last_counter", 0)
    counter = _fitting_counter(decrypt(row.data["secret"]), code, now, after=last)
    if counter is None:
        return False
    data = row.data | {"last_counter": counter}
    Authenticator.objects.filter(pk=row.pk).update(data=data, last_used_at=now)
    return True


def _fitting_counter(secret: str, code: str, now: datetime.datetime, *, after: int) -> int | None:
    """The step whose code this is, if it lies within reach of `now` and later than the step `after`."""
    present = int(now.timestamp()) // app_settings.TOTP_PERIOD
    for counter in range(present - STEPS_OFF, present + STEPS_OFF + 1):
        expected = format_hotp_value(hotp_value(secret, counter))
        if counter > after and compare_user_code(actual=code, expected=expected):
            return counter
    return None
