"""What the columns of a file mean, in the user's own words, and one row read by them.

Pure: no tables. A row either can be read, or is rejected with a sentence that says why.
"""

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from vendor.house.errors import Refused
from vendor.house.money import Currency, parse_amount
from vendor.supporters.credit_values import Kind, month_of

ORDERS = {
    "ymd": "year, month, day (2026-03-05)",
    "dmy": "day, month, year (5.3.2026)",
    "mdy": "month, day, year (3/5/2026)",
}
PAID_WORDS = ("paid", "succeeded", "success", "complete", "completed", "captured", "ok", "yes")
FAILED_WORDS = ("failed", "declined", "unpaid", "canceled", "cancelled", "pending", "no")
REFUNDED_WORDS = ("refunded", "refund", "returned", "charged back")
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
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


class RowRejected(Exception):  # noqa: N818 - named as it reads
    """A row that can't be used, with the sentence that says why."""


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

    def as_json(self) -> dict[str, Any]:
        """Return it as plain values to keep."""
        return asdict(self)

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Columns":
        """Return what `as_json` kept; what it does not know is passed over."""
        known = {name: value for name, value in kept.items() if name in cls.__dataclass_fields__}
        for words in ("paid_words", "failed_words", "refunded_words"):
            if words in known:
                known[words] = tuple(known[words])
        return cls(**known)


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
    found: dict[str, Any] = {}
    for what, usual in USUAL_HEADS.items():
        for name in head:
            if name.casefold() in usual and name not in found.values():
                found[what] = name
                break
    return Columns(**found)


def read_row(row: Mapping[str, str], columns: Columns, currency: Currency, language: str) -> Told:
    """Return what a row tells; RowRejected where it can't be read."""

    def cell(head: str) -> str:
        return row.get(head, "").strip() if head else ""

    name, email = cell(columns.name), cell(columns.email).lower()
    if not name and not email:
        raise RowRejected("There is neither a name nor an e-mail address.")
    on = _day(cell(columns.day), columns.order) if cell(columns.day) else None
    month = _month(cell(columns.month), columns.order) if cell(columns.month) else None
    if month is None and on is None:
        raise RowRejected("There is no month and no day.")
    month = month or month_of(on or datetime.date.min)
    on = on or month
    amount, below = _amount(cell(columns.amount), currency, language)
    kind, refunded = _kind(cell(columns.status), columns)
    if below:
        kind, refunded = Kind.REFUND, False
    given = _day(cell(columns.refunded_on), columns.order) if cell(columns.refunded_on) else None
    refunded_on = (given or on) if refunded or (given and kind is Kind.PAID) else None
    return Told(
        name=name[:120],
        email=email,
        month=month,
        on=on,
        amount=amount,
        kind=kind,
        refunded_on=refunded_on,
        level=cell(columns.level),
        reference=cell(columns.reference)[:120],
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


def _amount(text: str, currency: Currency, language: str) -> tuple[int, bool]:
    """Return an amount above zero, and whether it was below zero: a refund."""
    bare = text.strip().lstrip("'")
    below = bare.startswith(("-", "−", "(")) or bare.endswith(("-", "−"))
    try:
        minor = parse_amount(bare.strip("()-− ") if below else bare, currency, language)
    except Refused as refused:
        raise RowRejected(refused.message.replace(" Nothing was saved.", "")) from refused
    if minor == 0:
        raise RowRejected("The amount is zero: nothing was contributed.")
    return minor, below


def _day(text: str, order: str) -> datetime.date:
    """Return a day written in the given order, with or without a time behind it."""
    numbers = re.fullmatch(r"(\d{1,4})[-/. ]+(\d{1,2})[-/. ]+(\d{1,4})(?:[T ,].*)?", text)
    named = _named_month(text)
    if numbers:
        parts = [int(part) for part in numbers.groups()]
        # Four digits in front are a year, whatever the order that was chosen.
        given = "ymd" if len(numbers.group(1)) == 4 else order
        year, month, day = (parts[given.index(letter)] for letter in "ymd")
    elif named and named[2]:
        year, month, day = named
    else:
        raise RowRejected(f"“{text}” can't be read as a day.")
    try:
        return datetime.date(year + 2000 if year < 100 else year, month, day)
    except ValueError:
        raise RowRejected(
            f"“{text}” is no day when read as {ORDERS[order].split(' (')[0]}."
        ) from None


def _month(text: str, order: str) -> datetime.date:
    """Return a month: 2026-03, 03/2026, March 2026, or any day of it."""
    if short := re.fullmatch(r"(\d{4})[-/. ](\d{1,2})", text):
        year, month = int(short.group(1)), int(short.group(2))
    elif short := re.fullmatch(r"(\d{1,2})[-/. ](\d{4})", text):
        month, year = int(short.group(1)), int(short.group(2))
    elif (named := _named_month(text)) and not named[2]:
        year, month = named[0], named[1]
    else:
        try:
            return month_of(_day(text, order))
        except RowRejected:
            raise RowRejected(f"“{text}” can't be read as a month.") from None
    if not 1 <= month <= 12:
        raise RowRejected(f"“{text}” can't be read as a month.")
    return datetime.date(year, month, 1)


def _named_month(text: str) -> tuple[int, int, int] | None:
    """Return year, month and day (0: none) of a text with the month's English name, or None."""
    words = re.findall(r"[A-Za-z]+|\d+", text)
    names = [word[:3].lower() for word in words if word.isalpha()]
    years = [int(word) for word in words if word.isdigit() and len(word) == 4]
    days = [int(word) for word in words if word.isdigit() and len(word) <= 2]
    if len(words) > 3 or len(names) != 1 or names[0] not in _MONTHS or len(years) != 1:
        return None
    return years[0], _MONTHS.index(names[0]) + 1, days[0] if days else 0
