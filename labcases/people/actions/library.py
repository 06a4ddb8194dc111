"""What the library of second factors asks of a site: names for a phone to show, and how secrets are kept."""

import base64
import hashlib

from allauth.account.utils import user_pk_to_url_str
from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings

from labcases.people.models import User


class Adapter(DefaultMFAAdapter):
    """Secrets are encrypted with a key from the site's own, so that a copy of the database gives none away."""

    def encrypt(self, text: str) -> str:
        return _keys().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        """A site that was given another key reads none of its old secrets: a code then fits nothing."""
        try:
            return _keys().decrypt(encrypted_text.encode()).decode()
        except InvalidToken as error:
            raise SecretLost from error

    def get_totp_label(self, user: User) -> str:
        return user.username

    def get_public_key_credential_user_entity(self, user: User) -> dict[str, object]:
        # The library reads this id back from the passkey's answer, so it has to be in the library's own digits.
        handle = user_pk_to_url_str(user).encode()
        return {"id": handle, "display_name": user.display_name, "name": user.username}


class SecretLost(ValueError):
    """A stored secret was encrypted with a key that the site no longer has."""


def _keys() -> MultiFernet:
    secrets = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    digests = (hashlib.sha256(f"second factors:{secret}".encode()).digest() for secret in secrets)
    return MultiFernet([Fernet(base64.urlsafe_b64encode(digest)) for digest in digests])
