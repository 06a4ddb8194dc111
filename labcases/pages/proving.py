"""Passkeys as the browser speaks of them: what it is asked, and what it answers."""

import json
from typing import Any

from allauth.mfa.webauthn.internal import auth as webauthn
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from labcases.people.actions.factors import add_passkey, passkey_used
from labcases.people.models import User
from labcases.people.refusals import Refused

LONGEST_ANSWER = 20_000
NOT_TAKEN = _("The passkey was not accepted. Try again, or use another way.")


def question_for_new(user: User) -> str:
    """What the browser is asked to make a passkey of its own for this person, as JSON for a page."""
    return json.dumps(webauthn.begin_registration(user, passwordless=True))


def question(user: User | None = None) -> str:
    """What the browser is asked to prove a passkey with: of this person, or of whoever is there."""
    return json.dumps(webauthn.begin_authentication(user))


def keep_new(request: HttpRequest, *, name: str, now: Any) -> list[str]:
    """Verify what the browser made and keep it; return recovery codes if these are the person's first."""
    credential = _answer(request)
    try:
        made = webauthn.complete_registration(webauthn.parse_registration_response(credential))
    except Exception as error:  # whatever the parsers of three formats make of a stranger's bytes
        raise Refused(str(NOT_TAKEN)) from error
    return add_passkey(request.user, name=name, credential=credential, sign_count=made.counter, now=now)


def proved(request: HttpRequest, *, user: User | None = None, now: Any) -> User:
    """Verify the browser's answer to `question` and return whose passkey it was; Refused for anything else."""
    answer = _answer(request)
    try:
        person = user or webauthn.extract_user_from_response(answer)
        row = webauthn.complete_authentication(person, answer)
        count = _sign_count(answer)
    except Exception as error:
        raise Refused(str(NOT_TAKEN)) from error
    if not person.is_active:
        raise Refused(str(NOT_TAKEN))
    passkey_used(row, sign_count=count, now=now)
    return person


def _sign_count(answer: dict[str, Any]) -> int:
    parsed = webauthn.parse_authentication_response(answer)
    return parsed.response.authenticator_data.counter


def _answer(request: HttpRequest) -> dict[str, Any]:
    text = request.POST.get("passkey", "")[:LONGEST_ANSWER]
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Refused(str(NOT_TAKEN)) from error
    if not isinstance(found, dict):
        raise Refused(str(NOT_TAKEN))
    return found
