"""Reading the rows of card statements, however they write days, times and money."""

import datetime
import zoneinfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.closing.card_rows import Columns, Told, proposed, read_row
from vendor.house.cells import RowRejected
from vendor.house.money import Currency

ZONE = zoneinfo.ZoneInfo("America/New_York")
USD = Currency.of("USD")


def read(columns: Columns | None = None, language: str = "en_US", **cells: str) -> Told:
    row = {"Amount": "36.47", "Date": "2026-11-21", **cells}
    return read_row(row, columns or Columns("Amount", "Date"), USD, language, ZONE)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("36.47", 36_47), ("$1,036.47", 1_036_47), ("-36.47", -36_47), ("(36.47)", -36_47),
        ("36.47-", -36_47), ("−36.47", -36_47), ("'-36.47", -36_47), ("USD 36", 36_00),
    ],
)  # fmt: skip
def test_amounts_and_refunds(text: str, amount: int) -> None:
    """A minus before or behind, or brackets, is money that went back."""
    assert read(Amount=text).amount == amount


def test_amounts_in_another_language() -> None:
    """1.036,47 in German."""
    assert read(language="de_DE", Amount="1.036,47").amount == 1_036_47


def test_what_was_paid_out_plus_its_fee_is_what_was_charged() -> None:
    """35.41 after a fee of 1.06, written with or without a minus."""
    columns = Columns("Amount", "Date", fee="Fee", net=True)
    for fee in ("1.06", "-1.06"):
        assert read(columns, Amount="35.41", Fee=fee).amount == 36_47


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-11-21", "dmy", "2026-11-21"), ("21.11.2026", "dmy", "2026-11-21"),
        ("11/21/2026", "mdy", "2026-11-21"), ("5.12.26", "dmy", "2026-12-05"),
        ("Nov 21, 2026", "ymd", "2026-11-21"), ("21 November 2026", "dmy", "2026-11-21"),
    ],
)  # fmt: skip
def test_days(text: str, order: str, day: str) -> None:
    """By the order that was chosen; four digits in front are always a year."""
    told = read(Columns("Amount", "Date", order=order), Date=text)
    assert (told.day.isoformat(), told.at) == (day, None)


@pytest.mark.parametrize(
    ("date", "time", "clock"),
    [
        ("2026-11-21 14:35", "", "14:35"), ("11/21/2026, 2:35 PM", "", "14:35"),
        ("11/21/2026", "12:05 a.m.", "00:05"), ("2026-11-21", "14.35", "14:35"),
        # An offset of its own: half past seven in the evening in Greenwich is 2:35 pm here.
        ("2026-11-21T19:35:10Z", "", "14:35"),
    ],
)  # fmt: skip
def test_times(date: str, time: str, clock: str) -> None:
    """Behind the day, or in a column of their own; brought to the studio's clock."""
    told = read(Columns("Amount", "Date", time="Time", order="mdy"), Date=date, Time=time)
    assert told.at is not None
    assert told.at.strftime("%Y-%m-%d %H:%M") == f"2026-11-21 {clock}"
    assert told.at.tzinfo == ZONE or told.at.utcoffset() == datetime.timedelta(hours=-5)


@pytest.mark.parametrize(
    ("cells", "why"),
    [
        ({"Amount": ""}, "no amount"), ({"Amount": "lots"}, "can't be read"),
        ({"Amount": "0.00"}, "nought"), ({"Date": ""}, "no day"), ({"Date": "soon"}, "as a day"),
        ({"Date": "2026-02-30"}, "is no day"), ({"Time": "25:00"}, "no time of day"),
        ({"Time": "noon"}, "as a time"), ({"Amount": "9" * 400}, "."),
    ],
)  # fmt: skip
def test_rows_that_cannot_be_read_say_why(cells: dict[str, str], why: str) -> None:
    """One sentence each, and never anything saved."""
    with pytest.raises(RowRejected, match=why):
        read(Columns("Amount", "Date", time="Time"), **cells)


def test_usual_heads_are_proposed() -> None:
    """Whatever case they are in; the user decides."""
    columns = proposed(["DATE", "Time", "Gross", "Fee", "Transaction ID", "Tax"])
    assert columns == Columns("Gross", "DATE", "Time", "Fee", "Transaction ID")
    assert proposed(["eins", "zwei"]) == Columns()


@given(st.text(max_size=30), st.text(max_size=30))
def test_any_text_is_read_or_rejected(amount: str, day: str) -> None:
    """No text makes the reading fall over."""
    try:
        told = read(Amount=amount, Date=day)
    except RowRejected:
        return
    assert told.amount != 0
