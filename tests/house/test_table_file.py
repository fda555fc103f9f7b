"""Files as people export them: what is read, and what is refused with a sentence."""

import datetime
import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from vendor.house.table_file import MAX_BYTES, MAX_ROWS, Unreadable, read_file


@pytest.mark.parametrize(
    "text",
    [
        "Name,Sum\nInes,5\n",
        "\ufeffName;Sum\r\nInes;5\r\n",
        "Name\tSum\n\nInes\t5",
        'Name|Sum\n"Ines"|5',
    ],
)
def test_separators_marks_and_empty_lines_are_found_out(text: str) -> None:
    """Comma, semicolon, tab or bar."""
    sheet = read_file("a.csv", text.encode())
    assert (sheet.head, sheet.rows) == (["Name", "Sum"], [["Ines", "5"]])


def test_old_and_wide_alphabets_are_read() -> None:
    """Western 8-bit and UTF-16 by its mark."""
    text = "Name,Sum\nZoë,5\n"
    for content in (text.encode("cp1252"), text.encode("utf-16")):
        assert read_file("a.csv", content).rows == [["Zoë", "5"]]


def test_a_workbook_is_read_by_its_contents() -> None:
    """Days become ISO days, whole numbers lose their zeros, empty rows go."""
    book = Workbook()
    sheet = book.active
    for cells in (["Name", "Sum", "Day"], ["Ines", 5.0, datetime.datetime(2026, 3, 5)], [None]):  # noqa: DTZ001
        sheet.append(cells)
    stream = io.BytesIO()
    book.save(stream)
    assert read_file("a.txt", stream.getvalue()).rows == [["Ines", "5", "2026-03-05"]]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no table"),
        (b"Name,Sum\n", "no table"),
        (b"PK broken", "opened as a workbook"),
        (b"x" * (MAX_BYTES + 1), "larger than"),
        (b"A,B\n" + b"1,2\n" * (MAX_ROWS + 1), "more than"),
    ],
)
def test_what_is_no_table_is_refused_with_what_to_do(content: bytes, said: str) -> None:
    """Nothing was read."""
    with pytest.raises(Unreadable, match=said):
        read_file("a.csv", content)


@given(st.binary(max_size=300))
def test_no_file_breaks_the_reader(content: bytes) -> None:
    """Whatever its bytes: a table, or a refusal."""
    for start in (b"", b"PK", b"\xff\xfe"):
        try:
            sheet = read_file("a", start + content)
        except Unreadable:
            continue
        assert all(len(cells) == len(sheet.head) for cells in sheet.rows)


def test_a_small_file_that_unpacks_to_a_huge_one_is_refused() -> None:
    """Hundreds of megabytes of nothing, in a file of some hundred kilobytes."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/sharedStrings.xml", bytes(70_000_000))
    assert len(file.getvalue()) < MAX_BYTES
    with pytest.raises(Unreadable, match="unpacks to more than 60 MB"):
        read_file("months.xlsx", file.getvalue())


def test_heads_that_are_doubled_or_empty_get_a_number() -> None:
    """So that each column can be chosen."""
    assert read_file("a.csv", b"A,,A\n1,2,3\n").head == ["A", "Column 2", "A (3)"]
