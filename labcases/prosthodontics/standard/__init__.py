"""The laboratory's own standard as plain values: figures with tolerances, choices between schools."""

from labcases.prosthodontics.standard.house import HOUSE_NORMS, MATERIALS, labial_offset_norm
from labcases.prosthodontics.standard.laboratory import HOUSE_STANDARD, LabStandard, with_changes
from labcases.prosthodontics.standard.norms import Norm
from labcases.prosthodontics.standard.schools import SCHOOL_CHOICES, SchoolChoice, Schools

__all__ = [
    "HOUSE_NORMS",
    "HOUSE_STANDARD",
    "MATERIALS",
    "SCHOOL_CHOICES",
    "LabStandard",
    "Norm",
    "SchoolChoice",
    "Schools",
    "labial_offset_norm",
    "with_changes",
]
