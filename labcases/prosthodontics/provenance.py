"""Where a figure comes from, and in which words that is said wherever the figure is shown."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from labcases.prosthodontics.wording import Words

Confidence = Literal["H", "M", "L"]


class Provenance(StrEnum):
    """The class of evidence behind a figure. The letters are what is stored; people read `.words`."""

    SEEN = "S"
    RECALLED = "R"
    COMMON = "C"
    MEMORY = "M"
    DERIVED = "D"

    @property
    def words(self) -> str:
        return _WORDS[self]


_WORDS = {
    Provenance.SEEN: Words("published, seen in the source"),
    Provenance.RECALLED: Words("published, recalled, not yet verified"),
    Provenance.COMMON: Words("common practice, no source"),
    Provenance.MEMORY: Words("from memory, unverified"),
    Provenance.DERIVED: Words("derived here"),
}


@dataclass(frozen=True)
class Source:
    """What a figure rests on: the citation or derivation, its class and our confidence in it."""

    citation: str
    provenance: Provenance
    confidence: Confidence = "M"

    @property
    def words(self) -> str:
        """The citation with its class, as printed beside the figure."""
        return f"{self.citation} ({self.provenance.words})" if self.citation else self.provenance.words


COMMON_PRACTICE = Source("", Provenance.COMMON, "M")
FROM_MEMORY = Source("", Provenance.MEMORY, "L")
