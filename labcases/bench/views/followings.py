"""What follows from the figures of a stage, for its sheet: blocks by arch, each with its way to the calculator."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils import timezone

from labcases.measurements.derivations import Block, what_follows
from labcases.measurements.queries import those_standing


@dataclass(frozen=True)
class Following:
    """A block as a sheet shows it; `address` opens the same sum with this case's figures."""

    block: Block
    address: str


def followings(stage: Any, specification: Any, readings: Sequence[Any]) -> dict[str, tuple[Following, ...]]:
    """By arch, the patient's own under an empty name; `readings` are all of the case."""
    found = what_follows(
        stage,
        specification=specification,
        readings=those_standing(readings),
        today=timezone.localdate(),
        now=timezone.localtime(),
    )
    by_arch: dict[str, tuple[Following, ...]] = {}
    for block in found.blocks:
        by_arch[block.arch] = (*by_arch.get(block.arch, ()), Following(block, _address(block)))
    return by_arch


def _address(block: Block) -> str:
    if not block.calculator:
        return ""
    address = reverse("calculator", args=[block.calculator])
    return f"{address}?{urlencode(block.given)}" if block.given else address
