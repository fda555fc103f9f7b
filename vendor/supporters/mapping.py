"""What the columns of a file mean, in the user's own words, and one row read by them.

Pure: no tables. A row either can be read, or is rejected with a sentence that says why.
"""

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from vendor.house import cells
from vendor.house.cells import RowRejected, cell, day_and_rest, named_month, signed_amount
from vendor.house.money import Currency
from vendor.supporters.credit_values import Kind, month_of

PAID_WORDS = ("paid", "succeeded", "success", "complete", "completed", "captured", "ok", "yes")
FAILED_WORDS = ("failed", "declined", "unpaid", "canceled", "cancelled", "pending", "no")
REFUNDED_WORDS = ("refunded", "refund", "returned", "charged back")
# Heads that are often used, to propose a column; the user decides.
USUAL_HEADS = {
    "name": ("name", "supporter", "full name", "customer", "member"),
    "email": ("email", "e-mail", "e-mail address", "email address"),
    "month": ("month", "period", "for month"),
    "day": ("date", "day", "paid on", "payment date", "created"),
    "amount": ("amount", "contribution", "gross", "total", "paid"),
    "level": ("level", "plan", "membership"),
    "status": ("status", "state", "result"),
    "reference": ("reference", "id", "transaction", "transaction id", "payment id"),
    "refunded_on": ("refunded on", "refund date"),
}


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column holds what, by its head (empty: none), and the words that are used in them."""

    amount: str = ""
    name: str = ""
    email: str = ""
    month: str = ""
    day: str = ""
    level: str = ""
    status: str = ""
    reference: str = ""
    refunded_on: str = ""
    order: str = "ymd"
    paid_words: tuple[str, ...] = PAID_WORDS
    failed_words: tuple[str, ...] = FAILED_WORDS
    refunded_words: tuple[str, ...] = REFUNDED_WORDS
    level_words: Mapping[str, str] = field(default_factory=dict)
    """The file's word for a level, in small letters, to the level's own name."""
    add_people: bool = True

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Columns":
        """Return what was kept as plain values; what it does not know is passed over."""
        names = ("paid_words", "failed_words", "refunded_words")
        words = {name: tuple(kept[name]) for name in names if name in kept}
        return cells.from_json(cls, kept, **words)


@dataclass(frozen=True, slots=True)
class Told:
    """What one row tells: an amount in minor units above zero, and what became of it."""

    name: str
    email: str
    month: datetime.date
    on: datetime.date
    amount: int
    kind: Kind
    refunded_on: datetime.date | None
    level: str
    reference: str

    @property
    def state(self) -> "State":
        """What the row alone knows of its payment."""
        return State(self.kind, self.on, self.refunded_on)


@dataclass(frozen=True, slots=True)
class State:
    """What is known of one payment. `merged` is the same in whatever order rows come."""

    kind: Kind
    on: datetime.date
    refunded_on: datetime.date | None = None

    def merged(self, other: "State") -> "State":
        """Return what both together tell: paid beats failed, refunded beats paid."""
        if self.kind is not other.kind:
            return self if self.kind is Kind.PAID else other
        days = [day for day in (self.refunded_on, other.refunded_on) if day is not None]
        return State(self.kind, min(self.on, other.on), min(days, default=None))


def proposed(head: Sequence[str]) -> Columns:
    """Return the columns that the heads of a file suggest."""
    return Columns(**cells.proposed(head, USUAL_HEADS))  # type: ignore[arg-type]


def read_row(row: Mapping[str, str], columns: Columns, currency: Currency, language: str) -> Told:
    """Return what a row tells; RowRejected where it can't be read."""
    name, email = cell(row, columns.name), cell(row, columns.email).lower()
    if not name and not email:
        raise RowRejected("There is neither a name nor an e-mail address.")
    on = _day(cell(row, columns.day), columns.order) if cell(row, columns.day) else None
    month = _month(cell(row, columns.month), columns.order) if cell(row, columns.month) else None
    if month is None and on is None:
        raise RowRejected("There is no month and no day.")
    month = month or month_of(on or datetime.date.min)
    on = on or month
    signed = signed_amount(cell(row, columns.amount), currency, language)
    if signed == 0:
        raise RowRejected("The amount is zero: nothing was contributed.")
    kind, refunded = _kind(cell(row, columns.status), columns)
    if signed < 0:
        kind, refunded = Kind.REFUND, False
    back = cell(row, columns.refunded_on)
    given = _day(back, columns.order) if back else None
    refunded_on = (given or on) if refunded or (given and kind is Kind.PAID) else None
    return Told(
        name=name[:120],
        email=email,
        month=month,
        on=on,
        amount=abs(signed),
        kind=kind,
        refunded_on=refunded_on,
        level=cell(row, columns.level),
        reference=cell(row, columns.reference)[:120],
    )


def _kind(word: str, columns: Columns) -> tuple[Kind, bool]:
    """Return the kind of a row by its status, and whether a payment was refunded."""
    said = word.casefold()
    if not said or said in columns.paid_words:
        return Kind.PAID, False
    if said in columns.refunded_words:
        return Kind.PAID, True
    if said in columns.failed_words:
        return Kind.FAILED, False
    raise RowRejected(
        f"“{word}” is none of the words for paid, failed or refunded. Add it to one of them."
    )


def _day(text: str, order: str) -> datetime.date:
    """Return a day written in the given order, with or without a time behind it."""
    return day_and_rest(text, order)[0]


def _month(text: str, order: str) -> datetime.date:
    """Return a month: 2026-03, 03/2026, March 2026, or any day of it."""
    if short := re.fullmatch(r"(\d{4})[-/. ](\d{1,2})", text):
        year, month = int(short.group(1)), int(short.group(2))
    elif short := re.fullmatch(r"(\d{1,2})[-/. ](\d{4})", text):
        month, year = int(short.group(1)), int(short.group(2))
    elif (named := named_month(text)) and not named[2]:
        year, month = named[0], named[1]
    else:
        try:
            return month_of(_day(text, order))
        except RowRejected:
            raise RowRejected(f"“{text}” can't be read as a month.") from None
    if not 1 <= month <= 12:
        raise RowRejected(f"“{text}” can't be read as a month.")
    return datetime.date(year, month, 1)
