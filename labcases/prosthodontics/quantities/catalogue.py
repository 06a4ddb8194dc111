"""The whole catalogue, in the order in which things are entered."""

from collections.abc import Mapping
from types import MappingProxyType

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities.casts import CASTS
from labcases.prosthodontics.quantities.chairside import CHAIRSIDE
from labcases.prosthodontics.quantities.kinds import STAGES, Quantity, Taker
from labcases.prosthodontics.quantities.setting_up import SETTING_UP
from labcases.prosthodontics.quantities.workpieces import WORKPIECES

QUANTITIES: Mapping[str, Quantity] = MappingProxyType(
    {kind.name: kind for kind in (*CHAIRSIDE, *CASTS, *WORKPIECES, *SETTING_UP)}
)


def quantity(name: str) -> Quantity:
    """The quantity of that name; raises `InputError` that lists the names."""
    try:
        return QUANTITIES[name]
    except (KeyError, TypeError):
        raise InputError("quantity", name, ", ".join(QUANTITIES)) from None


def quantities_for(
    *, stage: str | None = None, taken_by: Taker | None = None, arch: str | None = None
) -> tuple[Quantity, ...]:
    """The quantities taken at a stage, by one side, for one arch, in the order in which they are entered.

    `arch` keeps the quantities of that arch and those of the patient; an argument left out filters nothing.
    """
    if stage is not None and stage not in STAGES:
        raise InputError("stage", stage, ", ".join(STAGES))
    return tuple(
        each
        for each in QUANTITIES.values()
        if (stage is None or stage in each.stages)
        and (taken_by is None or each.taken_by == taken_by)
        and (arch is None or not each.arches or arch in each.arches)
    )
