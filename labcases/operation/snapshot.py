"""One moment of a database that others go on writing to, under a connection of its own."""

import tempfile
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from django.db import connections, transaction
from django.db.utils import load_backend


@contextmanager
def snapshot(using: str, *, beside: Path) -> Iterator[str]:
    """The alias of a connection on which all reads see the same moment of the database `using`.

    SQLite's online backup copies the file, at the price of its size for a while in the folder `beside`;
    PostgreSQL keeps the moment itself for a REPEATABLE READ transaction, which may only read.
    """
    if connections[using].vendor == "sqlite":
        with _copied(using, beside) as alias, transaction.atomic(using=alias):
            yield alias
    else:
        with _repeatable(using) as alias, transaction.atomic(using=alias):
            yield alias


@contextmanager
def _copied(using: str, beside: Path) -> Iterator[str]:
    import sqlite3

    source = connections[using]
    with tempfile.TemporaryDirectory(dir=beside, prefix=".backup-") as folder:
        name = Path(folder) / "snapshot.sqlite3"
        source.ensure_connection()
        with source.wrap_database_errors, closing(sqlite3.connect(name)) as target:
            source.connection.backup(target)
        with other_database({**source.settings_dict, "NAME": str(name)}) as alias:
            yield alias


@contextmanager
def _repeatable(using: str) -> Iterator[str]:
    from django.db.backends.postgresql.psycopg_any import IsolationLevel

    settings = connections[using].settings_dict
    options = {**settings["OPTIONS"], "isolation_level": IsolationLevel.REPEATABLE_READ}
    with other_database({**settings, "OPTIONS": options}) as alias:
        connections[alias].ensure_connection()
        connections[alias].connection.read_only = True
        yield alias


@contextmanager
def other_database(settings: dict[str, Any]) -> Iterator[str]:
    """A database under an alias of its own, known to this thread alone and for as long as the block lasts."""
    alias = f"other-{uuid.uuid4()}"
    connection = load_backend(settings["ENGINE"]).DatabaseWrapper(settings, alias)
    connections[alias] = connection
    try:
        yield alias
    finally:
        connection.close()
        del connections[alias]
