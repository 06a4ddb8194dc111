"""The drawing of an arch's work, with what was measured so far written into it."""

from collections.abc import Sequence
from typing import Any

from labcases.measurements.queries import Box
from labcases.tickets.drawing import Drawing, draw_work
from labcases.tickets.gathering import drawing_facts


def drawing_of(specification: Any, arch: str, boxes: Sequence[Box]) -> Drawing | None:
    """None where nothing is specified, and for a kind of work that is not drawn."""
    if specification is None or not arch:
        return None
    return draw_work(drawing_facts(specification, arch, list(boxes)), form="narrow")
