"""The two engines, each warm and as it would serve: WeasyPrint as the press calls it, Typst with one compiler kept."""

import datetime
import json
from collections.abc import Callable
from typing import Any

import typst
from weasyprint import CSS, HTML, Attachment
from weasyprint.text.fonts import FontConfiguration

from labcases.tickets.facts import TicketFacts
from labcases.tickets.page import ticket_style
from labcases.tickets.press import VARIANT
from tests.benchmarks.engines.sheets import HERE, as_html, two_pages, whole_ticket

AT = datetime.datetime(2026, 11, 25, 9, tzinfo=datetime.UTC)
# Makes the sheet of a turn ready, and prints it; only the second is timed.
Engine = tuple[Callable[[int], Any], Callable[[Any], bytes]]


def engines(facts: TicketFacts) -> dict[str, Engine]:
    compiler = typst.Compiler(str(HERE / "sheet.typ"))

    def by_typst(text: str) -> bytes:
        return compiler.compile(sys_inputs={"sheet": text}, pdf_standards=["ua-1"])

    def for_weasyprint(turn: int) -> tuple[str, str]:
        said = two_pages(facts, turn=turn)
        return as_html(said), json.dumps(said["lines"])

    return {
        "Typst": (lambda turn: json.dumps(two_pages(facts, turn=turn), ensure_ascii=False), by_typst),
        "WeasyPrint": (for_weasyprint, by_weasyprint),
        "whole ticket by WeasyPrint": (lambda turn: (whole_ticket(facts, turn=turn), "[]"), by_weasyprint),
    }


def by_weasyprint(ready: tuple[str, str]) -> bytes:
    html, attached = ready
    fonts = FontConfiguration()
    styles = [CSS(string=text, font_config=fonts) for text in (ticket_style(), "@page { size: A4 }")]
    made = HTML(string=html, media_type="print").render(stylesheets=styles, font_config=fonts)
    made.metadata.attachments = [
        Attachment(string=attached, name="figures.json", description="The figures", created=AT, modified=AT)
    ]
    return made.write_pdf(pdf_variant=VARIANT) or b""
