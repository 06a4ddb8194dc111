"""Tables as files for spreadsheets: CSV and XLSX, written so that no cell is ever taken for a formula."""

import csv
import datetime
import io
import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

Value = str | int | Decimal | datetime.date | None

# Spreadsheets run what begins so; a full-width sign is folded to its narrow one by some of them.
RISKY = tuple("=+-@\t\r\n＝＋－＠")
GUARD = "'"
# Characters that XML 1.0 cannot carry, and half of a pair that stands alone.
UNSENDABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
LONGEST_CELL = 32_000
CSV_TYPE = "text/csv; charset=utf-8"
XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def csv_sheet(header: Sequence[str], rows: Iterable[Sequence[Value]]) -> bytes:
    """UTF-8 with a byte-order mark, RFC 4180; days as YYYY-MM-DD, figures with a point.

    A text that a spreadsheet would run gets an apostrophe before it; `plain_text` takes it away again.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([_guarded(each) for each in header])
    writer.writerows([_csv_cell(each) for each in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def xlsx_sheet(header: Sequence[str], rows: Iterable[Sequence[Value]], *, title: str) -> bytes:
    """One sheet; texts are stored as texts and marked so, days as days, figures as numbers."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(re.sub(r"[\[\]:*?/\\]", " ", title)[:31] or "Sheet")
    sheet.freeze_panes = "A2"
    sheet.append([_xlsx_cell(sheet, each) for each in header])
    for row in rows:
        sheet.append([_xlsx_cell(sheet, each) for each in row])
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def plain_text(text: str) -> str:
    """A cell's text without the apostrophe that `csv_sheet` puts before what a spreadsheet would run."""
    return text[1:] if text.startswith(GUARD) and text[1:].startswith(RISKY) else text


def _csv_cell(value: Value) -> str:
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value:f}"
    return _guarded(value) if isinstance(value, str) else "" if value is None else str(value)


def _guarded(text: str) -> str:
    text = _sendable(text)
    return GUARD + text if text.startswith(RISKY) else text


def _sendable(text: str) -> str:
    return UNSENDABLE.sub("", text)[:LONGEST_CELL]


def _xlsx_cell(sheet: object, value: Value) -> object:
    if not isinstance(value, str):
        cell = WriteOnlyCell(sheet, value=value)
        if isinstance(value, datetime.date):
            cell.number_format = "yyyy-mm-dd"
        return cell
    cell = WriteOnlyCell(sheet, value=_sendable(value))
    # Set after the value: a text that begins with = would have become a formula.
    cell.data_type = "s"
    cell.quotePrefix = value.startswith(RISKY)
    return cell
