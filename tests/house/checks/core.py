"""The core imports the standard library and three numeric libraries; it and the actions have no clock."""

import ast
import sys
from pathlib import Path

from tests.house.checks.source import calls, imported_names, modules

CORE = "prosthodontics"
NUMERIC = {"numpy", "scipy", "shapely"}
CLOCKS = {
    "datetime.now",
    "datetime.utcnow",
    "datetime.today",
    "date.today",
    "timezone.now",
    "timezone.localtime",
    "timezone.localdate",
    "time.time",
    "time.time_ns",
    "time.monotonic",
    "now",
    "localdate",
}


def foreign_imports_of_the_core(root: Path) -> list[str]:
    def allowed(name: str) -> bool:
        top = name.split(".")[0]
        return top in sys.stdlib_module_names or top in NUMERIC or name.startswith(f"labcases.{CORE}")

    return [
        module.fault(node, f"the core imports {name}")
        for module in modules(root, CORE)
        for node, name in imported_names(module)
        if not allowed(name)
    ]


def printers_elsewhere(root: Path) -> list[str]:
    """WeasyPrint can fetch what a page names; the one module that starts it is the one that forbids it to."""
    return [
        module.fault(node, f"imports {name}; only labcases/tickets/press.py does")
        for module in modules(root)
        for node, name in imported_names(module)
        if name.split(".")[0] == "weasyprint" and module.dotted != "labcases.tickets.press"
    ]


def _called(call: ast.Call) -> str:
    """The last two words of what is called: `datetime.datetime.now` and `datetime.now` are one."""
    return ".".join(ast.unparse(call.func).split(".")[-2:])


def clocks_read(root: Path) -> list[str]:
    """`now` is passed in, so that a test or a correction made later can say what time it was."""
    return [
        module.fault(call, f"{_called(call)}() fetches the time; take `now` as an argument")
        for module in modules(root)
        if module.room == CORE or module.is_part_of("actions", "rules", "queries", "querysets", "access")
        for call in calls(module)
        if _called(call) in CLOCKS
    ]
