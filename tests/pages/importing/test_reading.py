"""Tables in files, as hands and spreadsheets write them, and what is no table."""

import datetime
import io
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from labcases.pages.importing.reading import LARGEST, MOST_COLUMNS, MOST_ROWS, MOST_SHEET_ROWS, read_table
from labcases.pages.sheets import UNSENDABLE, csv_sheet, xlsx_sheet
from labcases.people.refusals import Refused

WANTED = (("Code", "Day"), ((2, ("E-1", "2026-11-30")), (4, ("E-2", ""))))


def read(content):
    table = read_table(content)
    return table.headings, table.rows


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_csv_file_is_read_whatever_separates_its_cells(separator, encoding):
    lines = ["Code|Day", "E-1|2026-11-30", "|", "E-2|"]
    text = "\r\n".join(lines).replace("|", separator)
    assert read(text.encode(encoding)) == WANTED


def test_a_workbook_is_read_with_days_and_figures_as_they_would_be_typed():
    book = Workbook()
    rows = [
        ["Code", "Day", "Age", "Rim", None],
        [" E-1 ", datetime.date(2026, 11, 30), 71, 21.5, None],
        [],
        ["E-2", None, 70.0, 0.1, None],
    ]
    for row in rows:
        book.active.append(row)
    content = io.BytesIO()
    book.save(content)
    headings, rows = read(content.getvalue())
    assert headings == ("Code", "Day", "Age", "Rim")
    assert rows == ((2, ("E-1", "2026-11-30", "71", "21.5")), (4, ("E-2", "", "70", "0.1")))


def test_headings_of_one_name_are_told_apart():
    headings, _ = read(b"Code,Code,,Day\n1,2,3,4\n")
    assert headings == ("Code", "Code (2)", "Column (3)", "Day")


def bomb():
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 50_000_000)
    return content.getvalue()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "no row"),
        (b"Code,Day\n", "no row"),
        (b"Code,Papilla\nE-0,8\nE-1,7,5\n", "Row 3 has more cells than there are headings"),
        (b"Code\n" + b"x\n" * (MOST_ROWS + 1), "more than 2,000 rows"),
        (b",".join([b"C"] * (MOST_COLUMNS + 1)) + b"\n" + b"1," * 80 + b"1\n", "more than 80 columns"),
        (b"x" * (LARGEST + 1), "larger than 2 MB"),
        ("Größe\n1\n".encode("latin-1"), "no text in UTF-8"),
        (b"Code\n\x00\n", "no table of text"),
        (b'Code\n"open\n', "no table that can be read"),
        (b"\xd0\xcf\x11\xe0rest", "old kind of workbook"),
        (b"PK\x03\x04rest", "cannot be read"),
        (bomb(), "unpacks to far more"),
    ],
)
def test_what_is_no_table_is_refused_in_words(content, words):
    with pytest.raises(Refused, match=words):
        read_table(content)


def sparse_sheet(rows, *, every):
    book = Workbook()
    for number in range(rows):
        book.active.cell(row=1 + number * every, column=1, value="Code" if number == 0 else f"E-{number}")
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def test_a_sheet_with_empty_rows_between_is_read_to_its_end():
    _, rows = read(sparse_sheet(MOST_ROWS + 1, every=3))
    assert len(rows) == MOST_ROWS
    assert rows[-1][0] == 3 * MOST_ROWS + 1


def test_a_sheet_too_long_to_be_read_to_its_end_is_refused():
    with pytest.raises(Refused, match="goes on below its row"):
        read_table(sparse_sheet(2, every=MOST_SHEET_ROWS))


cells = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]), min_size=1, max_size=8)


@settings(max_examples=40)
@given(row=st.lists(cells, min_size=1, max_size=3))
def test_what_the_list_of_cases_writes_is_read_as_it_was(row):
    wanted = tuple(UNSENDABLE.sub("", text).strip() for text in row)
    for content in (
        csv_sheet(["a", "b", "c"][: len(row)], [row]),
        xlsx_sheet(["a", "b", "c"][: len(row)], [row], title="x"),
    ):
        if any(wanted) and not any(text.startswith("'") for text in row):
            ((_, found),) = read_table(content).rows
            assert found == wanted
