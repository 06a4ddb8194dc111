"""The drawing of an arch's work, with what was measured so far written into it."""

from collections.abc import Sequence

from labcases.bench.views.rows import Row, plain
from labcases.tickets.drawing import DimensionFacts, Drawing, DrawingFacts, draw_work


def drawing_of(kind: str, arch: str, rows: Sequence[Row]) -> Drawing | None:
    """None for a kind of work that is not drawn."""
    facts = {row.name: _facts(row) for row in rows if row.line}
    if not arch or not facts:
        return None
    return draw_work(DrawingFacts(kind=kind, arch=arch, dimensions=facts), form="narrow")


def _facts(row: Row) -> DimensionFacts:
    line, reading = row.line, row.standing
    return DimensionFacts(
        name=line.name,
        label=line.label,
        target=line.target,
        figure=plain(line.target, line.unit) if line.target is not None else "",
        unit=line.unit,
        limits=row.limits,
        wording=line.wording,
        measured=plain(reading.value, reading.unit) if reading else "",
        verdict=str(row.judgement.verdict) if row.judgement else "",
    )
