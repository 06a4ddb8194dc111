"""A database that fails at one statement of an action, for every statement in turn, and what is left of it then."""

import copy
import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.db import OperationalError, connection, transaction

Act = Callable[[], object]
# They open and close savepoints. Once one is closed there is no going back to it, so a fault comes only before.
OF_THE_TRANSACTION = ("SAVEPOINT", "RELEASE", "ROLLBACK")
READS = ("SELECT", "WITH")


class Fault:
    """Raises what a database raises, before or after the statement of that number, and once only."""

    def __init__(self, number: int, when: str) -> None:
        self.number, self.when, self.seen = number, when, 0

    def __call__(self, execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        self.seen += 1
        if self.seen != self.number:
            return execute(sql, params, many, context)
        if self.when == "after":
            execute(sql, params, many, context)
        raise OperationalError(f"{self.when} statement {self.number}: {sql[:120]}")


def statements_of(act: Act) -> list[str]:
    said: list[str] = []

    def listen(execute: Any, sql: str, *rest: Any) -> Any:
        said.append(sql.lstrip().upper())
        return execute(sql, *rest)

    with connection.execute_wrapper(listen):
        act()
    return said


def rows() -> dict[str, list[tuple]]:
    """Every row of every table, as the database has it."""
    tables = sorted(model._meta.db_table for model in apps.get_models(include_auto_created=True))
    found = {}
    with connection.cursor() as cursor:
        for table in dict.fromkeys(tables):
            cursor.execute(f'SELECT * FROM "{table}"')
            if lines := cursor.fetchall():
                found[table] = sorted(lines, key=repr)
    return found


@contextmanager
def undone() -> Iterator[None]:
    """Leave the test's transaction as it was, whatever the block did or raised."""
    mark = transaction.savepoint()
    try:
        yield
    finally:
        connection.needs_rollback = False
        transaction.savepoint_rollback(mark)
        transaction.savepoint_commit(mark)


def places(statements: list[str], *, thoroughly: bool) -> list[tuple[int, str]]:
    """Where a fault may come: before and after each statement that writes; thoroughly, each that reads too."""
    found = []
    for number, sql in enumerate(statements, 1):
        if thoroughly or not sql.startswith(READS):
            found.append((number, "before"))
            if not sql.startswith(OF_THE_TRANSACTION):
                found.append((number, "after"))
    return found


class NothingWritten(AssertionError):
    """The act wrote nothing, so that no fault could show anything."""


def half_done(
    act: Act,
    *,
    given: object = None,
    thoroughly: bool = True,
    most: int | None = None,
    rng: random.Random | None = None,
) -> tuple[int, list[str]]:
    """How many faults the act met, and after which of them it had kept something or had not said that it failed.

    `given` holds whatever rows the act works on: each attempt has them as they were. Of more than `most` places so
    many are drawn. Needs a transaction around it.
    """
    before, wrong = rows(), []

    def attempt() -> None:
        act(copy.deepcopy(given)) if given is not None else act()

    with undone():
        statements = statements_of(attempt)
        if rows() == before:
            raise NothingWritten
    tried = places(statements, thoroughly=thoroughly)
    if most is not None and rng is not None and len(tried) > most:
        tried = sorted(rng.sample(tried, most))
    for number, when in tried:
        words = f"{when} statement {number}, {statements[number - 1][:80]}"
        with undone():
            if not _fails(attempt, Fault(number, when)):
                wrong.append(f"not told: {words}")
            elif rows() != before:
                wrong.append(f"kept a half: {words}")
    return len(tried), wrong


def _fails(act: Act, fault: Fault) -> bool:
    with connection.execute_wrapper(fault):
        try:
            act()
        except OperationalError:
            return True
    return False
