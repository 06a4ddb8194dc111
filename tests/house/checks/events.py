"""Every action leaves an event: followed through the calls it makes, down to the one that adds the row."""

import ast
from pathlib import Path

from tests.house.checks.shape import public_actions
from tests.house.checks.source import Module, modules

Name = tuple[str, str]


def _adds_an_event(function: ast.FunctionDef) -> bool:
    return any(
        isinstance(node, ast.Call)
        and ast.unparse(node.func) in {"Event.objects.create", "Event.objects.bulk_create"}
        for node in ast.walk(function)
    )


def _imports(module: Module) -> dict[str, Name]:
    return {
        alias.asname or alias.name: (node.module, alias.name)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("labcases.")
        for alias in node.names
    }


class CallGraph:
    """Who calls whom among the top-level functions of labcases, by name."""

    def __init__(self, root: Path) -> None:
        self.modules = {module.dotted: module for module in modules(root)}
        self.imports = {dotted: _imports(module) for dotted, module in self.modules.items()}
        self.functions: dict[Name, ast.FunctionDef] = {
            (dotted, node.name): node
            for dotted, module in self.modules.items()
            for node in module.tree.body
            if isinstance(node, ast.FunctionDef)
        }

    def resolve(self, dotted: str, name: str) -> Name | None:
        """Follow a name through re-exports to the function that it means."""
        for _ in range(5):
            if (dotted, name) in self.functions:
                return dotted, name
            if name not in self.imports.get(dotted, {}):
                return None
            dotted, name = self.imports[dotted][name]
        return None

    def callees(self, caller: Name) -> set[Name]:
        names = {
            node.func.id
            for node in ast.walk(self.functions[caller])
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        return {found for name in names if (found := self.resolve(caller[0], name))}

    def reaches_an_event(self, start: Name) -> bool:
        seen, waiting = set(), [start]
        while waiting:
            here = waiting.pop()
            if here in seen:
                continue
            seen.add(here)
            if _adds_an_event(self.functions[here]):
                return True
            waiting.extend(self.callees(here))
        return False


def actions_without_an_event(root: Path, *, exempt: dict[str, str]) -> list[str]:
    """`exempt` maps "room.function" or a whole "room" to the reason why no case is concerned."""
    graph = CallGraph(root)
    return [
        module.fault(node, f"{node.name} changes rows and leaves no event")
        for module in graph.modules.values()
        if module.is_part_of("actions") and module.room not in exempt
        for node in public_actions(module)
        if f"{module.room}.{node.name}" not in exempt
        and not graph.reaches_an_event((module.dotted, node.name))
    ]


def exemptions_of_nothing(root: Path, *, exempt: dict[str, str]) -> list[str]:
    known = {
        name
        for module in modules(root)
        if module.is_part_of("actions")
        for node in public_actions(module)
        for name in (module.room, f"{module.room}.{node.name}")
    }
    return [f"{name} is exempt but is no action" for name in exempt if name not in known]
