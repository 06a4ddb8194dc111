"""The repository speaks of the project alone, on whichever machine it was written."""

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

# A class of one letter keeps a pattern from finding itself here.
UNWANTED = {
    "a path of one machine": r"(?<![\w.])/(?:work/(?:main|share[d])|root/|opt/\w|(?:home|Users)/\w+/)",
    "a package registry's host": r"py[p]i\.org|python[h]osted|registry\.npm[j]s|deb\.debian\.[o]rg",
    "a folder that is not here": r"\bshare[d]/\w",
    "a ticket that readers cannot see": r"\b[Ii]ssue #?\d+\b",
    "who wrote it": r"\b[A]I\b|[C]o-authored-by",
}
DOCUMENT = re.compile(r"[\w./-]+\.md\b")
READ = {
    ".py",
    ".md",
    ".html",
    ".css",
    ".js",
    ".svg",
    ".toml",
    ".yml",
    ".json",
    ".csv",
    ".txt",
    ".sh",
    ".typ",
    "",
}
NOT_OURS = {".git", ".venv", "var", "__pycache__", ".hypothesis", ".mypy_cache", ".ruff_cache"}


def project_files(root: Path) -> list[Path]:
    """What is under version control, or would be; a copy without a repository is walked."""
    if (root / ".git").exists():
        command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
        listed = subprocess.run(command, cwd=root, capture_output=True, check=True, text=True).stdout
        found = [root / name for name in listed.split("\0") if name]
    else:
        found = [path for path in root.rglob("*") if NOT_OURS.isdisjoint(path.relative_to(root).parts)]
    return sorted(path for path in found if path.is_file() and path.suffix in READ)


def _lines(root: Path) -> Iterator[tuple[Path, int, str]]:
    for path in project_files(root):
        text = path.read_text(encoding="utf-8", errors="replace")
        yield from ((path.relative_to(root), n, line) for n, line in enumerate(text.splitlines(), 1))


def words_of_elsewhere(root: Path) -> list[str]:
    patterns = {what: re.compile(pattern) for what, pattern in UNWANTED.items()}
    return [
        f"{path}:{number}: names {what}: {found.group()}"
        for path, number, line in _lines(root)
        for what, pattern in patterns.items()
        if (found := pattern.search(line))
    ]


def documents_that_are_not_here(root: Path) -> list[str]:
    """A reader who is sent to a document must find it."""
    known = {path.name for path in project_files(root)}
    return [
        f"{path}:{number}: names {document}, which is not in the project"
        for path, number, line in _lines(root)
        for document in sorted(set(DOCUMENT.findall(line)))
        if Path(document).name not in known
    ]
