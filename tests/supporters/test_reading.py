"""Files and rows as people export them: what is read, and what is refused with a sentence."""

import datetime
import io
import random
import zipfile
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from vendor.house.money import Currency
from vendor.supporters.credit_values import Kind
from vendor.supporters.mapping import Columns, RowRejected, State, proposed, read_row
from vendor.supporters.reading import MAX_BYTES, MAX_ROWS, Unreadable, read_file

USD = Currency.of("USD")
COLUMNS = Columns(
    amount="Sum", name="Who", email="Mail", month="For", day="Date", status="How", reference="No",
    level="Level", refunded_on="Back",
)  # fmt: skip


def row(**more: str) -> Any:
    """Return what a row with these cells tells."""
    cells = {"Sum": "5.00", "Who": "Ines Quill", "Date": "2026-03-05", **more}
    return read_row(cells, COLUMNS, USD, "en_US")


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


def test_usual_heads_are_proposed() -> None:
    """The user still decides."""
    found = proposed(["Member", "Email", "Payment date", "Amount", "Status", "Payment ID"])
    assert (found.name, found.email, found.day) == ("Member", "Email", "Payment date")
    assert (found.amount, found.status, found.reference) == ("Amount", "Status", "Payment ID")
    assert Columns.from_json(found.as_json()) == found


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-03-05", "dmy", (2026, 3, 5)),
        ("5.3.2026", "dmy", (2026, 3, 5)),
        ("3/5/2026", "mdy", (2026, 3, 5)),
        ("03/05/26 14:20", "mdy", (2026, 3, 5)),
        ("2026-03-05T14:20:00Z", "ymd", (2026, 3, 5)),
        ("Mar 5, 2026", "ymd", (2026, 3, 5)),
        ("5 March 2026", "ymd", (2026, 3, 5)),
    ],
)
def test_days_are_read_in_the_order_that_was_chosen(
    text: str, order: str, day: tuple[int, int, int]
) -> None:
    """A year of four digits in front is always a year."""
    columns = Columns(amount="Sum", name="Who", day="Date", order=order)
    told = read_row({"Sum": "5", "Who": "I", "Date": text}, columns, USD, "en_US")
    assert told.on == datetime.date(*day)
    assert told.month == datetime.date(2026, 3, 1)


@pytest.mark.parametrize("text", ["2026-03", "03/2026", "March 2026", "Mar 2026", "2026-03-31"])
def test_months_are_read_however_they_are_written(text: str) -> None:
    """Any day of a month is the month."""
    assert row(For=text).month == datetime.date(2026, 3, 1)


def test_amounts_words_and_signs_say_what_became_of_a_payment() -> None:
    """Paid, failed, refunded on the payment, or a refund of its own."""
    assert (row().kind, row().amount, row().refunded_on) == (Kind.PAID, 500, None)
    assert row(How="Declined").kind is Kind.FAILED
    assert row(How="refunded").refunded_on == datetime.date(2026, 3, 5)
    assert row(Back="2026-04-01").refunded_on == datetime.date(2026, 4, 1)
    for negative in ("-5.00", "(5.00)", "−5", "'-5.00"):
        told = row(Sum=negative, How="refunded")
        assert (told.kind, told.amount, told.refunded_on) == (Kind.REFUND, 500, None)


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"Who": ""}, "neither a name nor"),
        ({"Date": ""}, "no month and no day"),
        ({"Date": "soon"}, "can't be read as a day"),
        ({"Date": "2026-02-30"}, "is no day"),
        ({"For": "2026-13"}, "can't be read as a month"),
        ({"For": "some time"}, "can't be read as a month"),
        ({"Sum": "a lot"}, "can't be read as an amount"),
        ({"Sum": "0.00"}, "zero"),
        ({"How": "maybe"}, "none of the words"),
    ],
)
def test_a_row_that_cannot_be_read_says_why(cells: dict[str, str], said: str) -> None:
    """In a sentence for the list of rejected rows."""
    with pytest.raises(RowRejected, match=said):
        row(**cells)


states = st.builds(
    State,
    st.sampled_from([Kind.PAID, Kind.FAILED]),
    st.dates(datetime.date(2026, 1, 1), datetime.date(2026, 12, 31)),
).flatmap(
    lambda state: (
        st.just(state)
        if state.kind is Kind.FAILED
        else st.just(state) | st.just(State(state.kind, state.on, state.on))
    )
)


@given(st.lists(states, min_size=1, max_size=6), st.randoms(use_true_random=False))
def test_what_is_known_of_a_payment_is_the_same_in_any_order(
    told: list[State], shuffled: random.Random
) -> None:
    """Merging is a matter of the set of rows."""

    def together(rows: list[State]) -> State:
        known = rows[0]
        for each in rows[1:]:
            known = known.merged(each)
        return known

    other = list(told)
    shuffled.shuffle(other)
    assert together(told) == together(other) == together(told + told)
