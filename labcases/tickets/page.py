"""From a ticket's facts to its page: HTML, and the style sheets it is printed with."""

import datetime

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from labcases.measurements.derivations import Block
from labcases.prosthodontics.retention import keep_until
from labcases.tickets.choices import Paper
from labcases.tickets.drawing import draw_work
from labcases.tickets.drawing.true_size import as_drawing, bars_view
from labcases.tickets.facts import Imprint, TicketFacts
from labcases.tickets.pdf import Sheet, page_numbers
from labcases.tickets.true_size import true_size_sheets

SIZES = {Paper.A4: "A4", Paper.LETTER: "letter"}
READING_BOXES = 3  # as many as a figure may be taken
LOT_ROWS = 3


def ticket_sheet(facts: TicketFacts, imprint: Imprint, *, paper: str = Paper.A4) -> Sheet:
    """The whole ticket, ready to be printed."""
    with translation.override(settings.LANGUAGE_CODE):
        styles = (ticket_style(), page_numbers(), f"@page {{ size: {SIZES[Paper(paper)]} }}")
        return Sheet(ticket_html(facts, imprint), styles)


def ticket_html(facts: TicketFacts, imprint: Imprint) -> str:
    """The page in the laboratory's language, whoever prints it."""
    with translation.override(settings.LANGUAGE_CODE):
        return _html(facts, imprint)


def _html(facts: TicketFacts, imprint: Imprint) -> str:
    arches = facts.specification.arches if facts.specification else ()
    return render_to_string(
        "tickets/work_ticket.html",
        {
            "facts": facts,
            "imprint": imprint,
            "arches": [
                (arch, draw_work(arch.drawn(facts.stage_kind)), facts.follows.of(arch.arch))
                for arch in arches
            ],
            "other_blocks": _other_blocks(facts),
            "sheets": true_size_sheets(facts),
            "bars": as_drawing(
                bars_view(),
                title=_("Bars of 100 mm and 50 mm to check the printer with"),
                description=_("The long bar lies across the sheet, the short one along it."),
            ),
            "scale_address": f"{settings.PUBLIC_URL.rstrip('/')}{reverse('calculator', args=['printer_scale'])}",
            "kept_until": _kept_until(facts, imprint),
            "reading_boxes": range(READING_BOXES),
            "lot_rows": range(LOT_ROWS),
        },
    )


def _other_blocks(facts: TicketFacts) -> tuple[Block, ...]:
    """Blocks that no arch of the specification shows: the patient's, and all where there is no specification."""
    shown = {arch.arch for arch in facts.specification.arches} if facts.specification else set()
    return tuple(block for block in facts.follows.blocks if block.arch not in shown)


def _kept_until(facts: TicketFacts, imprint: Imprint) -> str:
    printed = timezone.localdate(datetime.datetime.fromisoformat(imprint.at))
    until = keep_until(printed, years=facts.retention_years)
    return date_format(until, _("j F Y"))


def ticket_style() -> str:
    return (settings.BASE_DIR / "static" / "css" / "ticket.css").read_text(encoding="utf-8")
