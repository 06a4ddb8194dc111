"""A table as it lies in a CSV or XLSX file: headings and rows of text, within limits."""

import codecs
import csv
import datetime
import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from openpyxl import load_workbook

from labcases.pages.sheets import plain_text
from labcases.people.refusals import Refused

LARGEST = 2_000_000
MOST_ROWS = 2_000
# With empty rows between the full ones, and those that a sheet is only formatted to.
MOST_SHEET_ROWS = 20_000
MOST_COLUMNS = 80
LONGEST_CELL = 5_000
# What a small file may unpack to; a table of this many rows stays far below it.
LARGEST_UNPACKED = 40_000_000
XLSX_MAGIC, OLD_MAGIC = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
SEPARATORS = ",;\t"


@dataclass(frozen=True)
class Table:
    """Headings, and rows of as many cells, each with its number in the file, where the headings are row 1."""

    headings: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def read_table(content: bytes) -> Table:
    """The table in a file's bytes. Refused, in words, for what is none or is too large; empty rows are left out."""
    if len(content) > LARGEST:
        raise Refused(_("This file is larger than {size} MB.").format(size=LARGEST // 1_000_000))
    if content.startswith(OLD_MAGIC):
        raise Refused(_("This is an old kind of workbook. Save it as XLSX or as CSV UTF-8."))
    lines = _xlsx_lines(content) if content.startswith(XLSX_MAGIC) else _csv_lines(content)
    numbered = [(number, cells) for number, cells in enumerate(lines, 1) if any(cells)]
    if len(numbered) < 2:
        raise Refused(_("This file has no row below its headings."))
    if len(numbered) - 1 > MOST_ROWS:
        raise Refused(
            _("This file has more than {count} rows. Divide it.").format(
                count=number_format(MOST_ROWS, force_grouping=True)
            )
        )
    (_number, headings), *rows = numbered
    named = _named(headings)
    wide = next((number for number, cells in rows if any(cells[len(named) :])), None)
    if wide:
        raise Refused(
            _(
                "Row {row} has more cells than there are headings. A comma that belongs to a cell needs quotes "
                "round it."
            ).format(row=wide)
        )
    return Table(named, tuple((number, _fitted(cells, len(named))) for number, cells in rows))


def _csv_lines(content: bytes) -> Iterator[list[str]]:
    text = _decoded(content)
    first = text.partition("\n")[0]
    separator = max(SEPARATORS, key=first.count)
    try:
        for cells in csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True):
            yield [plain_text(cell.strip()) for cell in cells]
    except csv.Error as error:
        raise Refused(_("This is no table that can be read ({error}).").format(error=error)) from error


def _decoded(content: bytes) -> str:
    wide = content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = content.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(_("This is no text in UTF-8. Save the table as “CSV UTF-8” or as XLSX.")) from error
    if "\x00" in text:
        raise Refused(_("This is no table of text."))
    return text


def _xlsx_lines(content: bytes) -> list[list[str]]:
    try:
        _require_small(content)
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        rows = book.worksheets[0].iter_rows(max_col=MOST_COLUMNS + 1, values_only=True)
        return [[_cell_text(value) for value in row] for row in _not_too_many(rows)]
    except Refused:
        raise
    # A broken workbook raises whatever its broken part happens to: bad zip, missing member, faulty XML or value.
    except Exception as error:
        raise Refused(_("This workbook cannot be read. Save it as CSV UTF-8 and try again.")) from error


def _not_too_many(rows: Iterable[Sequence[Any]]) -> Iterator[Sequence[Any]]:
    for number, row in enumerate(rows, 1):
        if number > MOST_SHEET_ROWS:
            raise Refused(
                _("This sheet goes on below its row {row}. Leave out its empty rows.").format(
                    row=number_format(MOST_SHEET_ROWS, force_grouping=True)
                )
            )
        yield row


def _require_small(content: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        if sum(each.file_size for each in packed.infolist()) > LARGEST_UNPACKED:
            raise Refused(_("This workbook unpacks to far more than a table of cases."))


def _cell_text(value: Any) -> str:
    """A cell as somebody would have typed it; days as YYYY-MM-DD."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat(" ")
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, float):
        return f"{Decimal(repr(value)).normalize():f}"
    return str(value).replace("\x00", "").strip()


def _named(headings: Iterable[str]) -> tuple[str, ...]:
    """The headings without empty ones at the end; a second one of the same name is told apart by its number."""
    texts = [" ".join(text.split())[:200] for text in headings]
    while texts and not texts[-1]:
        texts.pop()
    if len(texts) > MOST_COLUMNS:
        raise Refused(_("This file has more than {count} columns.").format(count=MOST_COLUMNS))
    return tuple(
        f"{text or _('Column')} ({at})" if not text or text in texts[: at - 1] else text
        for at, text in enumerate(texts, 1)
    )


def _fitted(cells: Sequence[str], width: int) -> tuple[str, ...]:
    padded = [*cells[:width], *[""] * (width - len(cells))]
    return tuple(cell[:LONGEST_CELL] for cell in padded)
