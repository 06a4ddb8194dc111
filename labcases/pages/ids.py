"""The ids and versions of rows, as forms and addresses carry them.

A page wrote them, so what is none was tampered with or cut off: it is left out, and nothing is refused for it.
"""

from collections.abc import Iterable, Iterator

# No row has more; beyond nineteen a database answers with an error instead of with no row.
MOST_DIGITS = 9


def read_id(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else None


def read_ids(texts: Iterable[str]) -> list[int]:
    return [found for text in texts if (found := read_id(text)) is not None]


def joined_ids(texts: Iterable[str], *, of: int, by: str = "-") -> Iterator[tuple[int, ...]]:
    """Each text's ids, of which it joins `of`: a stage and the version that the page showed, from "17-3"."""
    for text in texts:
        parts = text.split(by)
        found = read_ids(parts)
        if len(found) == len(parts) == of:
            yield tuple(found)
