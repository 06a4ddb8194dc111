"""Where files lie: outside what the site serves by itself, under names that say nothing and are never used twice."""

import secrets

from django.core.files.storage import Storage, storages

ALIAS = "attachments"


def attachment_storage() -> Storage:
    return storages[ALIAS]


def new_name(suffix: str) -> str:
    """A random name, spread over 256 folders."""
    name = secrets.token_hex(16)
    return f"{name[:2]}/{name}.{suffix}"
