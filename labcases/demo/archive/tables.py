"""Rows by the hundred thousand into empty tables, on either database."""

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from django.core.management.color import no_style
from django.db import connection, models

ESCAPES = {r"\\": "\\", r"\t": "\t", r"\n": "\n", r"\r": "\r"}
ESCAPE = re.compile(r"\\[\\tnr]")


def add_lines(model: type[models.Model], columns: Iterable[str], lines: Iterable[str]) -> None:
    """Add rows that are written as lines of PostgreSQL's COPY: tab between columns, \\N for nothing."""
    names = ", ".join(connection.ops.quote_name(column) for column in columns)
    table = connection.ops.quote_name(model._meta.db_table)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                copy.write("".join(lines))
            return
        rows = [_values(line) for text in lines for line in text.splitlines()]
        gaps = ", ".join("%s" for _ in rows[0])
        cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({gaps})", rows)


def _values(line: str) -> list[str | None]:
    return [_value(part) for part in line.split("\t")]


def _value(part: str) -> str | None:
    if "\\" not in part:
        return part
    return None if part == r"\N" else ESCAPE.sub(lambda found: ESCAPES[found[0]], part)


@contextmanager
def without_indexes(tables: Iterable[str]) -> Iterator[None]:
    """Take indexes and foreign keys off tables and put the very same back, which proves all new rows at once.

    One row at a time, PostgreSQL would keep every foreign key of ten million rows in memory to look at in the end.
    """
    with connection.cursor() as cursor:
        read = _of_postgresql if connection.vendor == "postgresql" else _of_sqlite
        taken_off, put_back = read(cursor, list(tables))
        for statement in taken_off:
            cursor.execute(statement)
    yield
    with connection.cursor() as cursor:
        for statement in put_back:
            cursor.execute(statement)


def _of_postgresql(cursor: Any, tables: list[str]) -> tuple[list[str], list[str]]:
    cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    cursor.execute("SET LOCAL maintenance_work_mem = '512MB'")
    cursor.execute(
        "SELECT conrelid::regclass::text, quote_ident(conname), pg_get_constraintdef(oid) FROM pg_constraint"
        " WHERE contype = 'f' AND conrelid = ANY (%s::regclass[])",
        [tables],
    )
    keys = cursor.fetchall()
    cursor.execute(
        "SELECT i.indexrelid::regclass::text, pg_get_indexdef(i.indexrelid) FROM pg_index i"
        " WHERE i.indrelid = ANY (%s::regclass[])"
        " AND NOT EXISTS (SELECT FROM pg_constraint c WHERE c.conindid = i.indexrelid AND c.contype <> 'f')",
        [tables],
    )
    indexes = cursor.fetchall()
    off = [f"ALTER TABLE {table} DROP CONSTRAINT {name}" for table, name, _ in keys]
    off += [f"DROP INDEX {name}" for name, _ in indexes]
    back = [definition for _, definition in indexes]
    back += [f"ALTER TABLE {table} ADD CONSTRAINT {name} {definition}" for table, name, definition in keys]
    return off, back


def _of_sqlite(cursor: Any, tables: list[str]) -> tuple[list[str], list[str]]:
    cursor.execute("SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL")
    indexes = [(name, sql) for table, name, sql in cursor.fetchall() if table in tables]
    return [f'DROP INDEX "{name}"' for name, _ in indexes], [sql for _, sql in indexes]


def first_free_key(model: type[models.Model]) -> int:
    last = model._base_manager.order_by("-pk").values_list("pk", flat=True).first()
    return int(last or 0) + 1


def set_sequences(models_: Iterable[type[models.Model]]) -> None:
    """Let the next row of each table get the key after the last one given here."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(models_)):
            cursor.execute(statement)


def gather_statistics() -> None:
    """Let the database count anew what its plans are made from."""
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
