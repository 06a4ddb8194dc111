"""Signals, names of migrations, sizes of files and functions, and the form of an action's signature."""

import ast
import re
import statistics
from pathlib import Path

from tests.house.checks.source import Module, functions, imported_names, modules

LONGEST_FILE = 500
MEDIAN_FUNCTION = 15


def signal_receivers(root: Path) -> list[str]:
    """Business flow in signals has no order and no person; an action calls what follows from it."""
    return [
        module.fault(node, f"imports {name}; signals are not used here")
        for module in modules(root)
        for node, name in imported_names(module)
        if re.match(r"django\.dispatch\b|django\..*\bsignals\b", name)
    ]


def migrations_without_a_name(root: Path) -> list[str]:
    return [
        f"{module.relative}: a migration is named for what it does"
        for module in modules(root)
        if module.relative.parent.name == "migrations"
        and module.path.name != "__init__.py"
        and not re.fullmatch(r"\d{4}_(?!auto_)[a-z][a-z0-9_]+", module.path.stem)
    ]


def files_too_long(root: Path) -> list[str]:
    lengths = ((m.relative, len(m.path.read_text(encoding="utf-8").splitlines())) for m in modules(root))
    return [f"{path}: {length} lines; split it by theme" for path, length in lengths if length > LONGEST_FILE]


def functions_too_long(root: Path) -> list[str]:
    """The median per room, over rooms with enough functions to have one."""
    lengths: dict[str, list[int]] = {}
    for module in modules(root):
        if not module.is_part_of("migrations"):
            lengths.setdefault(module.room, []).extend(f.end_lineno - f.lineno + 1 for f in functions(module))
    medians = {room: statistics.median(found) for room, found in lengths.items() if len(found) >= 5}
    return [
        f"labcases/{room}: the median function has {median:g} lines; {MEDIAN_FUNCTION} at most"
        for room, median in medians.items()
        if median > MEDIAN_FUNCTION
    ]


def public_actions(module: Module) -> list[ast.FunctionDef]:
    """Functions that people's pages call: public, at the top of an actions module, a transaction each."""
    return [
        node
        for node in module.tree.body
        if isinstance(node, ast.FunctionDef)
        and not node.name.startswith("_")
        and "transaction.atomic" in ast.unparse(node)
    ]


def actions_with_positional_arguments(root: Path) -> list[str]:
    return [
        module.fault(node, f"{node.name} takes {len(node.args.args)} positional arguments; one noun at most")
        for module in modules(root)
        if module.is_part_of("actions")
        for node in public_actions(module)
        if len(node.args.posonlyargs) + len(node.args.args) > 1
    ]
