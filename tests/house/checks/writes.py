"""Rows are written by actions, and by nothing else."""

import ast
from pathlib import Path

from tests.house.checks.source import calls, modules

MAY_WRITE = ("actions", "migrations", "management")
# Only a model or a queryset has these, whatever they are called with.
ALWAYS = {"get_or_create", "update_or_create", "bulk_create", "bulk_update", "select_for_update"}
ALWAYS |= {f"a{name}" for name in ALWAYS} | {"asave", "acreate", "aupdate", "adelete"}
# Dictionaries, hashes, caches and pictures have these too, but take a positional argument; a row takes none.
KEYWORDS_ONLY = {"save", "create", "update", "delete"}
NEVER_FROM_A_PAGE = {"objects", "_default_manager", "_base_manager"}
MAY_SPEAK_SQL = {
    # Rows by the hundred thousand, made from what actions wrote, into a site that has nobody in it yet.
    "labcases.demo.archive.tables",
}
AUDIENCES = ("office", "bench", "clinic")


def _writes_rows(call: ast.Call) -> bool:
    if not isinstance(call.func, ast.Attribute):
        return False
    if call.func.attr in ALWAYS:
        return True
    return call.func.attr in KEYWORDS_ONLY and not call.args


def rows_written_outside_actions(root: Path) -> list[str]:
    return [
        module.fault(call, f".{call.func.attr}() writes rows; only actions and migrations do")
        for module in modules(root)
        if module.room != "demo" and not module.is_part_of(*MAY_WRITE)
        for call in calls(module)
        if _writes_rows(call)
    ]


def sql_written_by_hand(root: Path) -> list[str]:
    """A cursor, `raw` or `extra` goes past the guards of the actions and past `visible_to`."""
    return [
        module.fault(call, f".{call.func.attr}() goes past queries and actions")
        for module in modules(root)
        if not module.is_part_of("migrations") and module.dotted not in MAY_SPEAK_SQL
        for call in calls(module)
        if isinstance(call.func, ast.Attribute) and call.func.attr in {"cursor", "raw", "extra", "RawSQL"}
    ]


def managers_reached_from_pages(root: Path) -> list[str]:
    return [
        module.fault(node, f".{node.attr} in a page; ask queries.py")
        for module in modules(root, *AUDIENCES)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Attribute) and node.attr in NEVER_FROM_A_PAGE
    ]
