"""Files for spreadsheets: what goes in comes out, and nothing is ever run."""

import csv
import datetime
import io
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from labcases.pages.sheets import RISKY, UNSENDABLE, csv_sheet, plain_text, xlsx_sheet

texts = st.one_of(
    st.text(max_size=12),
    st.builds(lambda first, rest: first + rest, st.sampled_from(RISKY), st.text(max_size=8)),
)
values = st.one_of(
    texts,
    st.none(),
    st.integers(-9999, 9999),
    st.decimals(-999, 999, places=2),
    st.dates(datetime.date(1990, 1, 1), datetime.date(2100, 1, 1)),
)
rows = st.lists(st.lists(values, min_size=2, max_size=2), max_size=3)


def read_csv(content):
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def read_xlsx(content):
    return list(load_workbook(io.BytesIO(content)).active.iter_rows(min_row=2))


@pytest.mark.parametrize("begins", RISKY)
def test_a_text_that_would_be_run_stays_a_text_in_both(begins):
    text = f"{begins}HYPERLINK(1)"
    ((_,), (cell,)) = read_csv(csv_sheet(["Code"], [[text]]))
    assert cell == f"'{text}"
    assert plain_text(cell) == text
    (((read,)),) = read_xlsx(xlsx_sheet(["Code"], [[text]], title="Cases"))
    assert read.data_type == "s"
    assert read.quotePrefix


def test_days_are_days_and_figures_are_numbers():
    row = [datetime.date(2026, 11, 25), Decimal("21.50"), 7, None]
    assert read_csv(csv_sheet(["a", "b", "c", "d"], [row]))[1] == ["2026-11-25", "21.50", "7", ""]
    ((day, figure, count, nothing),) = read_xlsx(xlsx_sheet(["a", "b", "c", "d"], [row], title="x"))
    assert (day.value.date(), day.is_date) == (row[0], True)
    assert (figure.value, figure.data_type) == (21.5, "n")
    assert (count.value, nothing.value) == (7, None)


def test_a_csv_file_begins_with_the_mark_that_spreadsheets_ask_for():
    assert csv_sheet(["Überschrift"], []).startswith(b"\xef\xbb\xbf")


@settings(max_examples=60)
@given(rows=rows)
def test_whatever_is_written_is_read_again_and_no_cell_is_a_formula(rows):
    written = read_csv(csv_sheet(["a", "b"], rows))[1:]
    for row, cells in zip(rows, written, strict=True):
        for value, cell in zip(row, cells, strict=True):
            assert not (isinstance(value, str) and cell.startswith(RISKY))
            if isinstance(value, str):
                # A reader of CSV may see a lone carriage return as a line's end; inside quotes it stays.
                assert plain_text(cell) == UNSENDABLE.sub("", value) or value.startswith("'")
    for cell in (cell for row in read_xlsx(xlsx_sheet(["a", "b"], rows, title="x")) for cell in row):
        assert cell.data_type != "f"
