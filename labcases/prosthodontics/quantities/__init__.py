"""The catalogue of everything that is measured: its name, its landmarks, who takes it and when.

Work is measured by the same name as it is specified by. A quantity has two ranges: what it
*cannot be* is refused, what is *unusual* is kept after one confirming look. Unless a quantity says otherwise
both ranges are the laboratory's own net against slips of the hand, wide on purpose; no norms.

Signs: a deviation is positive to the patient's left; a cant is positive where the patient's left is lower; a
pitch is positive where the plane drops towards the front.
"""

from labcases.prosthodontics.quantities.catalogue import QUANTITIES, quantities_for, quantity
from labcases.prosthodontics.quantities.kinds import ARCHES, STAGES, Quantity, Taker, Unit
from labcases.prosthodontics.quantities.reading import read_as, read_figure

__all__ = [
    "ARCHES",
    "QUANTITIES",
    "STAGES",
    "Quantity",
    "Taker",
    "Unit",
    "quantities_for",
    "quantity",
    "read_as",
    "read_figure",
]
