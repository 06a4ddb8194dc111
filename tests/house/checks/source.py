"""Python files of a source tree, parsed."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Module:
    path: Path
    relative: Path
    tree: ast.Module

    @property
    def dotted(self) -> str:
        parts = self.relative.with_suffix("").parts
        return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)

    @property
    def room(self) -> str:
        """The package directly below labcases, or "" for labcases itself."""
        return self.relative.parts[1] if len(self.relative.parts) > 2 else ""

    def fault(self, node: ast.AST, words: str) -> str:
        return f"{self.relative}:{node.lineno}: {words}"

    def is_part_of(self, *names: str) -> bool:
        """Whether it is, or lies in, one of these parts: "actions" means actions.py and actions/."""
        parts = self.relative.with_suffix("").parts[2:]
        return not set(names).isdisjoint(parts)


def modules(root: Path, *rooms: str) -> Iterator[Module]:
    for path in sorted((root / "labcases").rglob("*.py")):
        relative = path.relative_to(root)
        module = Module(path, relative, ast.parse(path.read_text(encoding="utf-8"), filename=str(relative)))
        if not rooms or module.room in rooms:
            yield module


def calls(module: Module) -> Iterator[ast.Call]:
    return (node for node in ast.walk(module.tree) if isinstance(node, ast.Call))


def imported_names(module: Module) -> Iterator[tuple[ast.stmt, str]]:
    """Every absolute name that the module imports, at whatever depth of the file."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            yield from ((node, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                package = module.dotted.split(".")
                if module.path.name != "__init__.py":
                    package = package[:-1]
                base = ".".join([*package[: len(package) - node.level + 1], *filter(None, [base])])
            yield from ((node, f"{base}.{alias.name}") for alias in node.names)


def functions(module: Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
