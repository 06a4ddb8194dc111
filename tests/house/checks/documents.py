"""What the documents name must be there: links, paths, commands, jobs, and the names of the code."""

import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from django.core.management import get_commands

from tests.house.checks.wording import project_files

LINK = re.compile(r"\]\(([^)#:\s]+)(?:#[\w-]+)?\)")
# Between single back-quotes, or indented as a block.
SPAN = re.compile(r"(?<!`)`([^`\n]+)`(?!`)|^ {4}(\S.*)$", re.MULTILINE)
PLACE = re.compile(
    r"(?<![\w/.<{-])(?:[\w-]+/)+(?:[\w-]+(?:\.\w+)?)?(?![\w/*{…-])"
    r"|(?<![\w/.-])[\w-]+\.(?:py|toml|css|js|lock|md)\b"
)
COMMAND = re.compile(r"manage\.py (\w+)")
JOB = re.compile(r"\bmake ([a-z-]+)")
NAME = re.compile(r"(?<![\w/.-])(?:[a-z]+(?:_[a-z]+)+|LABCASES_[A-Z_]+|(?:[A-Z][a-z]+){2,})(?![\w/-])")
# Where a path may begin that a document does not write out in full.
BEGINNINGS = ("", "labcases", "templates", "static", "docs")
# Made when something runs, and never kept.
MADE = ("var/",)
NAMES_OF_OTHERS = {"pg_dump"}


def documents(root: Path) -> list[Path]:
    return [*sorted(root.glob("*.md")), *sorted((root / "docs").glob("*.md"))]


def links_that_lead_nowhere(root: Path) -> list[str]:
    return [
        f"{path.relative_to(root)}: the link {found} leads nowhere"
        for path in documents(root)
        for found in LINK.findall(path.read_text(encoding="utf-8"))
        if not (path.parent / found).exists()
    ]


def paths_that_are_not_there(root: Path) -> list[str]:
    files = {path.name for path in project_files(root)}

    def is_there(place: str) -> bool:
        if place in files or place.startswith(MADE):
            return True
        return any((root / each / place).exists() for each in BEGINNINGS)

    return _missing(root, "path", PLACE, is_there)


def commands_that_do_not_exist(root: Path) -> list[str]:
    return _missing(root, "command", COMMAND, get_commands().__contains__)


def jobs_that_make_does_not_know(root: Path) -> list[str]:
    jobs = set(re.findall(r"^([a-z-]+):", (root / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    return _missing(root, "job of make", JOB, jobs.__contains__)


def names_that_nothing_has(root: Path) -> list[str]:
    known = _words_of_the_code(root) | NAMES_OF_OTHERS
    return _missing(root, "name", NAME, known.__contains__)


def _missing(root: Path, what: str, pattern: re.Pattern[str], is_there: Callable[[str], bool]) -> list[str]:
    return [
        f"{path.relative_to(root)}: names the {what} {found}, which does not exist"
        for path in documents(root)
        for span in _spans(path)
        for found in pattern.findall(span)
        if not is_there(found)
    ]


def _spans(path: Path) -> Iterator[str]:
    for inline, block in SPAN.findall(path.read_text(encoding="utf-8")):
        yield inline or block


@cache
def _words_of_the_code(root: Path) -> frozenset[str]:
    """Every word that stands in a file that is no document."""
    return frozenset(
        word
        for path in project_files(root)
        if path.suffix != ".md"
        for word in re.findall(r"\w+", path.read_text(encoding="utf-8", errors="replace"))
    )
