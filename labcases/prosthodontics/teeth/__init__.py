"""Artificial teeth: numbers, average sizes, estimates from the face, the laboratory's mould list."""

from labcases.prosthodontics.teeth.designation import (
    ALL_TEETH,
    DENTURE_TEETH,
    arch_of,
    from_universal,
    mirror,
    to_universal,
    tooth_words,
)
from labcases.prosthodontics.teeth.estimates import Estimate, estimate_sizes
from labcases.prosthodontics.teeth.moulds import Mould, RankedMould, Wish, rank_moulds, read_moulds

__all__ = [
    "ALL_TEETH",
    "DENTURE_TEETH",
    "Estimate",
    "Mould",
    "RankedMould",
    "Wish",
    "arch_of",
    "estimate_sizes",
    "from_universal",
    "mirror",
    "rank_moulds",
    "read_moulds",
    "to_universal",
    "tooth_words",
]
