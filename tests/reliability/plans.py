"""What a database reads for a query, told from its plan: whole tables, or no more rows than the work of the day has."""

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection

from labcases.cases.models import Case, Stage
from labcases.post.models import Letter

ARCHIVE = (
    "cases_case",
    "cases_stage",
    "cases_step",
    "cases_event",
    "cases_return",
    "cases_disinfection",
    "cases_caseimport",
    "cases_importline",
    "measurements_reading",
    "measurements_specification",
    "measurements_specificationline",
    "measurements_prescribeddimension",
    "post_letter",
    "tickets_workticket",
)


# Indexes of what is open alone, which a database may go through as it likes.
OF_WHAT_IS_OPEN = {
    index.name
    for model in (Case, Stage, Letter)
    for index in model._meta.indexes
    if index.condition is not None
}
ALIAS = re.compile(r'"(\w+)" ([A-Z]\d+)\b')
Query = tuple[str, Any]


@contextmanager
def queries_asked() -> Iterator[list[Query]]:
    """Each query with its values apart, as it is asked: SQLite plans otherwise where it sees them in the text."""
    asked: list[Query] = []

    def keep(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        asked.append((sql, params))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(keep):
        yield asked


def reads_too_much(query: Query, *, most: int) -> list[str]:
    """The steps of a query's plan that go through more than `most` rows of a table of the archive."""
    sql, params = query
    if not sql.lstrip("( ").upper().startswith("SELECT"):
        return []
    return list((_on_postgresql if connection.vendor == "postgresql" else _on_sqlite)(sql, params, most))


def _on_postgresql(sql: str, params: Any, most: int) -> Iterator[str]:
    """By running it: the rows that each step fetched, those that it threw away counted too.

    Tables of a test are so small that reading them whole is often quickest, so that is made dear.
    """
    with connection.cursor() as cursor:
        for way in ("seqscan", "hashjoin", "mergejoin"):
            cursor.execute(f"SET LOCAL enable_{way} = off")
        cursor.execute(f"EXPLAIN (ANALYZE, TIMING OFF, FORMAT JSON) {sql}", params)
        found = cursor.fetchone()[0]
    plan = json.loads(found) if isinstance(found, str) else found
    for node in _nodes(plan[0]["Plan"]):
        table = node.get("Relation Name")
        thrown_away = sum(value for name, value in node.items() if name.startswith("Rows Removed by"))
        rows = (node["Actual Rows"] + thrown_away) * node["Actual Loops"]
        if table in ARCHIVE and (rows > most or node["Node Type"] == "Seq Scan"):
            yield f"{node['Node Type']} of {table}, {rows:.0f} rows: {sql}"


def _nodes(node: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield node
    for inner in node.get("Plans", ()):
        yield from _nodes(inner)


def _on_sqlite(sql: str, params: Any, most: int) -> Iterator[str]:
    """By its words: SEARCH goes by a key, SCAN goes through; in the order of an index it stops where a page ends."""
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {sql}", params)
        steps = [row[3] for row in cursor.fetchall()]
    # A table that a query joins twice goes by a name of the query's own.
    named = {alias: table for table, alias in ALIAS.findall(sql)}
    for step in steps:
        word, name, *rest = step.split()
        name = named.get(name, name)
        ordered_page = "INDEX" in rest and "LIMIT" in sql and "USE TEMP B-TREE FOR ORDER BY" not in steps
        is_long = name in ARCHIVE and _length(name) > most
        if word == "SCAN" and is_long and not (ordered_page or OF_WHAT_IS_OPEN & {*rest}):
            yield f"{step}: {sql}"


def seem_large(times: int) -> None:
    """Let SQLite plan as if the archive were so many times as large, and what is open as it is.

    It counts cost by the statistics alone; in a test's few hundred rows reading all is often as quick.
    """
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT tbl, idx, stat FROM sqlite_stat1")
        for table, index, stat in cursor.fetchall():
            if table in ARCHIVE and index not in OF_WHAT_IS_OPEN:
                rows, *alike = stat.split()
                grown = [
                    str(int(rows) * times),
                    *(each if each == "1" else str(int(each) * times) for each in alike),
                ]
                cursor.execute(
                    "UPDATE sqlite_stat1 SET stat = %s WHERE tbl = %s AND idx IS %s",
                    [" ".join(grown), table, index],
                )
        cursor.execute("ANALYZE sqlite_schema")


def _length(table: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COUNT(*) FROM {table}")
        return int(cursor.fetchone()[0])
