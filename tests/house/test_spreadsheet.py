"""Spreadsheets hold what was meant: no text runs as a formula, numbers stay numbers."""

import csv
import datetime
import io
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house import spreadsheet
from vendor.house.spreadsheet import as_csv, as_xlsx, harmless, plain_text


def read_csv(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize(
    ("text", "cell"),
    # OWASP, “CSV Injection”: its two examples, as they stand in the file.
    [
        ('=1+2";=1+2', '"\'=1+2"";=1+2"'),
        ("=1+2'\" ;,=1+2", '"\'=1+2\'"" ;,=1+2"'),
    ],
)
def test_the_published_attacks_are_written_as_published(text: str, cell: str) -> None:
    """An apostrophe leads, quotes are doubled, the field is quoted (OWASP, CSV Injection)."""
    assert as_csv(["name"], [[text]]).decode("utf-8-sig").splitlines()[1] == cell


@pytest.mark.parametrize("first", ["=", "+", "-", "@", "\t", "\r", "\n", "\0"])
def test_text_that_begins_like_a_formula_is_led_by_an_apostrophe(first: str) -> None:
    """The characters of OWASP's page and of ASVS 5.0, 1.2.10, together."""
    assert harmless(first + "SUM(A1)") == "'" + first + "SUM(A1)"
    assert harmless("SUM" + first) == "SUM" + first


@given(st.text())
def test_what_was_exported_can_be_imported_unchanged(text: str) -> None:
    """Taking the apostrophe off gives the text back, even where it had apostrophes of its own."""
    assert plain_text(harmless(text)) == text
    assert harmless(text)[:1] not in tuple("=+-@\t\r\n\0")


def test_numbers_days_and_refunds_stay_what_they_are() -> None:
    """A refund of −5.00 is a number: no apostrophe, and a spreadsheet can add it up."""
    row = [Decimal("-5.00"), -3, datetime.date(2026, 12, 5), None, True]
    assert read_csv(as_csv(list("abcde"), [row]))[1] == ["-5.00", "-3", "2026-12-05", "", "True"]
    sheet = openpyxl.load_workbook(io.BytesIO(as_xlsx(list("abcde"), [row], "rows"))).active
    assert sheet is not None
    assert [cell.data_type for cell in sheet[2]] == ["n", "n", "d", "n", "b"]
    assert float(sheet["A2"].value) == -5.0


def test_a_workbook_holds_no_formula() -> None:
    """Neither in its cells nor in its heads."""
    content = as_xlsx(["=HEAD()"], [["=1+1"], ["plain"], ["bad\x01char"]], "a/b:c")
    sheet = openpyxl.load_workbook(io.BytesIO(content)).active
    assert sheet is not None
    cells = [row[0] for row in sheet.iter_rows()]
    assert [cell.data_type for cell in cells] == ["s"] * 4
    assert [cell.value for cell in cells] == ["'=HEAD()", "'=1+1", "plain", "badchar"]


def test_moments_are_written_in_the_studio_s_time() -> None:
    """A workbook holds no time zones: the wall clock's time is what stands in it."""
    at = datetime.datetime(2026, 12, 5, 14, 0, 30, 999, tzinfo=datetime.UTC)
    assert read_csv(as_csv(["at"], [[at]]))[1] == ["2026-12-05 14:00:30"]


def test_lines_end_as_the_standard_says_and_quotes_are_doubled() -> None:
    """RFC 4180: CRLF, and a quote inside a field is doubled."""
    content = as_csv(["a", "b"], [["x", 'b"bb'], ["y", "two\nlines"]])
    assert content.decode("utf-8-sig") == 'a,b\r\nx,"b""bb"\r\ny,"two\nlines"\r\n'


def test_a_file_is_kept_under_its_name_and_by_no_one_else() -> None:
    """The answer is an attachment that nothing on the way stores."""
    answer = spreadsheet.response("csv", "shelf-2026-12-02", ["a"], [["b"]])
    assert answer["Content-Disposition"] == 'attachment; filename="shelf-2026-12-02.csv"'
    assert answer["Cache-Control"] == "no-store"
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
