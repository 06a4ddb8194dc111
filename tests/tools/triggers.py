"""Take the triggers that guard the records out of a database for a while, as someone who owns it could.

Tests that empty the tables between them need it, and those that alter what the product itself never alters.
"""

from contextlib import contextmanager

from django.db import connections, transaction
from django.db.backends.base.operations import BaseDatabaseOperations


def triggers_in(connection) -> dict[str, list[str]]:
    """By table, the names of its triggers."""
    with connection.cursor() as cursor:
        cursor.execute(NAMES[connection.vendor])
        found: dict[str, list[str]] = {}
        for table, name in cursor.fetchall():
            found.setdefault(table, []).append(name)
        return found


@contextmanager
def triggers_down(using: str = "default"):
    with transaction.atomic(using=using):
        put_back = _taken_down(connections[using])
        yield
        with connections[using].cursor() as cursor:
            for statement in put_back:
                cursor.execute(statement)


def _taken_down(connection) -> list[str]:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            tables = sorted(triggers_in(connection))
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for table in tables:
                cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
            return ["SET CONSTRAINTS ALL IMMEDIATE"] + [
                f'ALTER TABLE "{table}" ENABLE TRIGGER USER' for table in tables
            ]
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        found = cursor.fetchall()
        for name, _ in found:
            cursor.execute(f'DROP TRIGGER "{name}"')
        return [statement for _, statement in found]


NAMES = {
    "sqlite": "SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger' ORDER BY 1, 2",
    "postgresql": (
        "SELECT relname, tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
        " WHERE NOT tgisinternal ORDER BY 1, 2"
    ),
}
_flush = BaseDatabaseOperations.execute_sql_flush


def let_tests_flush() -> None:
    """Let the end of a test with transactions of its own empty every table; the product has no such way."""

    def flushed(self, sql_list):
        with triggers_down(self.connection.alias):
            _flush(self, sql_list)

    BaseDatabaseOperations.execute_sql_flush = flushed
