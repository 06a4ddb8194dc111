"""Materials by weight and clock: gypsum, denture base polymer, curing, shrinkage and wax.

Every default gives way to the material's own instructions.
"""

from labcases.prosthodontics.materials.curing import CURING_CYCLES, Cycle, Schedule, schedule, start_for
from labcases.prosthodontics.materials.gypsum import GYPSUM, GypsumBatch, gypsum_batch
from labcases.prosthodontics.materials.polymer import PolymerBatch, polymer_batch
from labcases.prosthodontics.materials.shrinkage import Shrinkage, expected_shrinkage

__all__ = [
    "CURING_CYCLES",
    "GYPSUM",
    "Cycle",
    "GypsumBatch",
    "PolymerBatch",
    "Schedule",
    "Shrinkage",
    "expected_shrinkage",
    "gypsum_batch",
    "polymer_batch",
    "schedule",
    "start_for",
]
