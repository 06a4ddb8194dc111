"""A case's record as it is handed out: a JSON file, and a tagged PDF."""

import datetime
import json
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.functional import Promise

from labcases.prosthodontics.wording import Words
from labcases.records.gathering import Record
from labcases.tickets.pdf import Sheet, page_numbers, render_pdf


def record_as_json(record: Record) -> bytes:
    """Decimals as strings, days as ISO 8601, moments in UTC and as the laboratory's clock showed them."""
    return json.dumps(_plain(record), ensure_ascii=False, indent=1).encode("utf-8") + b"\n"


def record_as_pdf(record: Record) -> bytes:
    return render_pdf(record_sheet(record)).pdf


def record_sheet(record: Record) -> Sheet:
    """The whole record, ready to be printed."""
    style = (settings.BASE_DIR / "static" / "css" / "record.css").read_text(encoding="utf-8")
    return Sheet(render_to_string("records/case_record.html", record), (style, page_numbers()))


def _plain(value: Any) -> Any:
    """Ready for JSON; words are in the language of whoever asked."""
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    if isinstance(value, Words | Promise):
        return str(value)
    if isinstance(value, Decimal):
        return f"{value.normalize() + 0:f}"
    if isinstance(value, datetime.datetime):
        return {
            "utc": value.astimezone(datetime.UTC).isoformat(),
            "local": timezone.localtime(value).isoformat(),
        }
    return value.isoformat() if isinstance(value, datetime.date) else value
