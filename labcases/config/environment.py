"""Reads the site's settings from the environment and refuses what cannot be meant."""

import os
import secrets
from collections.abc import Sequence

from django.core.exceptions import ImproperlyConfigured

SHORTEST_KEY = 50


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


def some_of(name: str, *, allowed: Sequence[str]) -> list[str]:
    """Words of a known list: one that was mistyped would otherwise switch off what it was to switch on."""
    found = words(name)
    if unknown := [word for word in found if word not in allowed]:
        raise ImproperlyConfigured(f"{name} names {unknown[0]!r}; allowed: {', '.join(allowed)}.")
    return found


def count(name: str, *, default: int, least: int = 0, most: int = 99) -> int:
    text = os.environ.get(name, "").strip()
    if not text:
        return default
    if text.isascii() and text.isdigit() and len(text) < 10 and least <= int(text) <= most:
        return int(text)
    raise ImproperlyConfigured(f"{name} is {text!r}; allowed: a whole number, {least} to {most}.")


def secret_key() -> str:
    """The site's secret, or one for this process alone: a command needs none, and the site refuses to start on it."""
    return os.environ.get("LABCASES_SECRET_KEY", "") or secrets.token_urlsafe(60)


def refuse_to_serve_unsafely(*, debug: bool) -> None:
    """Called before the site answers anybody; one clear sentence says what is missing."""
    key = os.environ.get("LABCASES_SECRET_KEY", "")
    if debug:
        return
    if not key:
        raise ImproperlyConfigured(
            "LABCASES_SECRET_KEY is not set. "
            "Set it to 50 or more random characters, or LABCASES_DEBUG=1 on your own machine."
        )
    if len(key) < SHORTEST_KEY:
        raise ImproperlyConfigured(
            f"LABCASES_SECRET_KEY is shorter than {SHORTEST_KEY} characters; make a longer one."
        )
