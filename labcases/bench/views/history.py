"""A stage's log in words."""

from decimal import Decimal
from typing import Any

from labcases.bench.views.rows import figure
from labcases.cases.choices import Act
from labcases.prosthodontics.quantities import QUANTITIES

HANDINGS = (Act.RECEIVED, Act.HANDED_OVER, Act.ARRIVED)


def happened(event: Any) -> dict[str, Any]:
    """What the timeline shows of one event."""
    return {
        "event": event,
        "words": _words(event),
        "kind": "return" if event.act == Act.SENT_BACK else "handing" if event.act in HANDINGS else "",
    }


def _words(event: Any) -> str:
    """What of the event's details says something to a reader; the act itself is said beside it."""
    after = event.after
    if event.act in (Act.READING, Act.CORRECTION):
        kind = QUANTITIES.get(after.get("quantity", ""))
        name = kind.label if kind else after.get("quantity", "")
        value = figure(Decimal(after["value"]), after["unit"])
        was = event.before.get("value")
        before = f"{figure(Decimal(was), after['unit'])} to " if was else ""
        arch = f", {after['arch']}" if after.get("arch") else ""
        return f"{name}{arch}: {before}{value}"
    if event.act in (Act.STEP_TICKED, Act.STEP_UNTICKED):
        return str(after.get("step", ""))
    if event.act == Act.RECEIVED:
        return (
            f"{after.get('agent')}, {after.get('minutes')} min (label asks {after.get('minutes_required')})"
        )
    return ""
