"""Reads the site's settings from the environment and refuses what cannot be meant."""

import os

from django.core.exceptions import ImproperlyConfigured


def flag(name: str, *, default: bool) -> bool:
    text = os.environ.get(name, "").strip().lower()
    if not text:
        return default
    if text in {"1", "true", "yes", "on"}:
        return True
    if text in {"0", "false", "no", "off"}:
        return False
    raise ImproperlyConfigured(f"{name} is {text!r}; allowed: 1 or 0.")


def words(name: str, *, default: str = "") -> list[str]:
    return [word.strip() for word in os.environ.get(name, default).split(",") if word.strip()]


def secret_key(*, debug: bool) -> str:
    key = os.environ.get("LABCASES_SECRET_KEY", "")
    if key:
        if len(key) < 50 and not debug:
            raise ImproperlyConfigured(
                "LABCASES_SECRET_KEY is shorter than 50 characters; make a longer one."
            )
        return key
    if debug:
        return "for-a-demonstration-on-one-machine-only"
    raise ImproperlyConfigured(
        "LABCASES_SECRET_KEY is not set. "
        "Set it to 50 or more random characters, or LABCASES_DEBUG=1 on your own machine."
    )
