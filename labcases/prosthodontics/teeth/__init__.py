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
from labcases.prosthodontics.teeth.moulds import (
    FaultyMoulds,
    Mould,
    RankedMould,
    Wish,
    rank_moulds,
    read_moulds,
    write_moulds,
)
from labcases.prosthodontics.teeth.proportions import between_distal_surfaces, between_tips, front_widths

__all__ = [
    "ALL_TEETH",
    "DENTURE_TEETH",
    "Estimate",
    "FaultyMoulds",
    "Mould",
    "RankedMould",
    "Wish",
    "arch_of",
    "between_distal_surfaces",
    "between_tips",
    "estimate_sizes",
    "from_universal",
    "front_widths",
    "mirror",
    "rank_moulds",
    "read_moulds",
    "to_universal",
    "tooth_words",
    "write_moulds",
]
