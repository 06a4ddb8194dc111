"""From a ticket's facts to its page: HTML, and the style sheets it is printed with."""

from django.conf import settings
from django.template.loader import render_to_string

from labcases.tickets.choices import Paper
from labcases.tickets.drawing import draw_work
from labcases.tickets.facts import Imprint, TicketFacts
from labcases.tickets.pdf import Sheet

SIZES = {Paper.A4: "A4", Paper.LETTER: "letter"}
READING_BOXES = 3  # as many as a figure may be taken
LOT_ROWS = 3


def ticket_sheet(facts: TicketFacts, imprint: Imprint, *, paper: str = Paper.A4) -> Sheet:
    """The whole ticket, ready to be printed."""
    return Sheet(ticket_html(facts, imprint), (ticket_style(), f"@page {{ size: {SIZES[Paper(paper)]} }}"))


def ticket_html(facts: TicketFacts, imprint: Imprint) -> str:
    arches = facts.specification.arches if facts.specification else ()
    return render_to_string(
        "tickets/work_ticket.html",
        {
            "facts": facts,
            "imprint": imprint,
            "arches": [(arch, draw_work(arch.drawn(facts.stage_kind))) for arch in arches],
            "reading_boxes": range(READING_BOXES),
            "lot_rows": range(LOT_ROWS),
        },
    )


def ticket_style() -> str:
    return (settings.BASE_DIR / "static" / "css" / "ticket.css").read_text(encoding="utf-8")
