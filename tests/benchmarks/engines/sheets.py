"""Two pages of a real ticket as plain values: one arch's figures with their reasons, and the rims at true size."""

import dataclasses
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.template import engines
from django.template.loader import render_to_string

from labcases.cases.models import Stage
from labcases.tickets.codes import groups, new_code, scan_mark
from labcases.tickets.drawing.true_size import as_drawing, bars_view
from labcases.tickets.facts import ArchFacts, Imprint, TicketFacts
from labcases.tickets.gathering import gather_facts
from labcases.tickets.page import ticket_html
from labcases.tickets.true_size import Part, true_size_sheets

HERE = Path(__file__).parent
LINES = 7  # with their reasons as many as fill a page by either engine


def a_ticket() -> TicketFacts | None:
    """What the ticket of the first occlusion rims with sheets at true size says, from the database at hand."""
    specified = Stage.objects.filter(kind="occlusion_rims", case__specifications__isnull=False)
    for stage in specified.order_by("case__number", "visit").distinct():
        facts = gather_facts(stage)
        if true_size_sheets(facts):
            return facts
    return None


def two_pages(facts: TicketFacts, *, turn: int) -> dict[str, Any]:
    """Everything that the two pages say. Another `turn` is another case with other figures, reasons and drawings."""
    number = f"26-{turn:05}-X"
    whole, sheet = facts.specification.arches[0], true_size_sheets(facts)[0]
    arch = dataclasses.replace(whole, lines=whole.lines[:LINES])
    bars = Part("Print at 100 %", as_drawing(bars_view(), title="Bars", description="100 mm and 50 mm"), ())
    return {
        "title": f"Work ticket {number}, {facts.stage}",
        "laboratory": facts.laboratory,
        "number": number,
        "stage": facts.stage,
        "revision": f"Specification revision {facts.revision}",
        "printed": "Printed Wed 25 Nov 2026, 09:00",
        "arch": f"{arch.title}: {facts.stage.lower()}",
        **_figures(arch, turn, number),
        "sheet": sheet.title,
        "use": sheet.use,
        "parts": [_part(part, number) for part in (*sheet.parts, bars)],
    }


def _figures(arch: ArchFacts, turn: int, number: str) -> dict[str, Any]:
    lines = [
        {
            "label": line.label,
            "figure": f"{line.target + Decimal(turn) / 10:.1f}{line.unit_sign}",
            "limits": line.limits,
            "basis": line.basis.capitalize(),
        }
        for line in arch.lines
    ]
    reasons = [
        {
            "names": each.names,
            "basis": each.basis.capitalize(),
            "why": f"{each.why} ({number})",
            "source": each.source,
        }
        for each in arch.reasons
    ]
    return {"lines": lines, "reasons": reasons}


def _part(part: Part, number: str) -> dict[str, Any]:
    drawing = dataclasses.replace(part.drawing, description=f"{part.drawing.description} ({number})")
    return {
        "title": part.title,
        "alt": f"{drawing.title}. {drawing.description}",
        "width": float(drawing.width),
        "height": float(drawing.height),
        "svg": render_to_string("tickets/_rim_drawing.html", {"drawing": drawing, "on_paper": True}).strip(),
        "notes": part.notes,
    }


def as_html(said: dict[str, Any]) -> str:
    return engines["django"].from_string((HERE / "sheet.html").read_text(encoding="utf-8")).render(said)


def whole_ticket(facts: TicketFacts, *, turn: int) -> str:
    """The ticket as it is printed, for another case each turn."""
    code = new_code()
    imprint = Imprint(
        code=code,
        groups=groups(code),
        mark=scan_mark(code, public_url="https://cases.example.test"),
        at="2026-11-25T09:00:00+00:00",
        printed="Wed 25 Nov 2026, 09:00",
        printed_by="Greta Ledger",
    )
    return ticket_html(dataclasses.replace(facts, case_number=f"26-{turn:05}-X"), imprint)
