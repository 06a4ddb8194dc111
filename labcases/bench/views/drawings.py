"""The drawings of a stage's work, with what was measured so far written into them."""

from collections.abc import Sequence
from typing import Any

from labcases.measurements.queries import Box
from labcases.tickets.drawing import Drawing, draw_work
from labcases.tickets.gathering import drawing_facts


def drawings_of(specification: Any, boxes: Sequence[Box]) -> dict[str, Drawing | None]:
    """By arch; empty where nothing is specified, None for a kind of work that is not drawn."""
    if specification is None:
        return {}
    facts = drawing_facts(specification, list(boxes))
    return {arch: draw_work(each, form="narrow") for arch, each in facts.items()}
