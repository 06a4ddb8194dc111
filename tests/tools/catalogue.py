"""Reads a catalogue of messages as it is written (gettext's .po), as far as ours go."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

PARTS = ("msgctxt", "msgid", "msgid_plural", "msgstr")


@dataclass
class Message:
    """`said` are the translations: one, or one for each plural form."""

    context: str = ""
    text: str = ""
    plural: str = ""
    said: list[str] = field(default_factory=list)
    is_fuzzy: bool = False


def messages(path: Path) -> Iterator[Message]:
    """All but the head, which translates the empty text."""
    for block in path.read_text(encoding="utf-8").split("\n\n"):
        message = _message(block.splitlines())
        if message and message.text:
            yield message


def _message(lines: list[str]) -> Message | None:
    found: dict[str, str] = {}
    part = ""
    for line in lines:
        if line.startswith("#"):
            continue
        if not line.startswith('"'):
            part, _, line = line.partition(" ")
        found[part] = found.get(part, "") + ast.literal_eval(line)
    if "msgid" not in found:
        return None
    return Message(
        found.get("msgctxt", ""),
        found["msgid"],
        found.get("msgid_plural", ""),
        [said for part, said in found.items() if part.startswith("msgstr")],
        any(line.startswith("#,") and "fuzzy" in line for line in lines),
    )
