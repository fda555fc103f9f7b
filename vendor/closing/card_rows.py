"""One row of a card statement, read by the columns that the user named. Pure: no tables.

A row either can be read, or is rejected with a sentence that says why.
"""

import datetime
import zoneinfo
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from vendor.house import cells
from vendor.house.cells import RowRejected, cell, signed_amount
from vendor.house.money import Currency

# Heads that are often used, to propose a column; the user decides.
USUAL_HEADS = {
    "amount": ("amount", "gross", "total", "gross amount", "charged", "collected"),
    "day": ("date", "day", "date and time", "created", "transaction date", "booked"),
    "time": ("time", "clock", "transaction time"),
    "fee": ("fee", "fees", "commission", "charges"),
    "text": ("description", "text", "reference", "id", "transaction id", "card", "note"),
}


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column holds what, by its head (empty: none), and how it is written.

    `net` says that the amounts are what was paid out after the fee, which is then added again.
    """

    amount: str = ""
    day: str = ""
    time: str = ""
    fee: str = ""
    text: str = ""
    order: str = "ymd"
    net: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """What one row tells: what the customer was charged (minor units; a refund below zero).

    The fee stands beside it; two rows that differ in nothing else are alike.
    """

    amount: int
    day: datetime.date
    at: datetime.datetime | None
    text: str
    fee: int = field(default=0, compare=False)


def proposed(head: Sequence[str]) -> Columns:
    """Return the columns that the heads of a file suggest."""
    return Columns(**cells.proposed(head, USUAL_HEADS))  # type: ignore[arg-type]


def read_row(
    row: Mapping[str, str],
    columns: Columns,
    currency: Currency,
    language: str,
    zone: zoneinfo.ZoneInfo,
) -> Told:
    """Return what a row tells; RowRejected where it can't be read.

    A moment with an offset of its own is brought to the studio's clock, any other is read as the
    studio's.
    """
    amount = signed_amount(cell(row, columns.amount), currency, language)
    charged = cell(row, columns.fee)
    # A fee is above zero however it is written.
    fee = abs(signed_amount(charged, currency, language)) if charged else 0
    if columns.net:
        amount += fee
    if amount == 0:
        raise RowRejected("The amount is nought: nothing was charged.")
    day, time = cells.day_and_time(cell(row, columns.day), columns.order, zone)
    if own := cell(row, columns.time):
        time = cells.time_of_day(own)
    at = datetime.datetime.combine(day, time, zone) if time is not None else None
    return Told(amount, day, at, cell(row, columns.text)[:120], fee)
