"""One row of a card statement, read by the columns that the user named. Pure: no tables.

A row either can be read, or is rejected with a sentence that says why.
"""

import datetime
import re
import zoneinfo
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from vendor.house.errors import Refused
from vendor.house.money import Currency, parse_amount

ORDERS = {
    "ymd": "year, month, day (2026-11-21)",
    "dmy": "day, month, year (21.11.2026)",
    "mdy": "month, day, year (11/21/2026)",
}
# Heads that are often used, to propose a column; the user decides.
USUAL_HEADS = {
    "amount": ("amount", "gross", "total", "gross amount", "charged", "collected"),
    "day": ("date", "day", "date and time", "created", "transaction date", "booked"),
    "time": ("time", "clock", "transaction time"),
    "fee": ("fee", "fees", "commission", "charges"),
    "text": ("description", "text", "reference", "id", "transaction id", "card", "note"),
}
_MINUS = "-−"


class RowRejected(Exception):  # noqa: N818 - named as it reads
    """A row that can't be used, with the sentence that says why."""


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

    def as_json(self) -> dict[str, Any]:
        """Return it as plain values to keep."""
        return asdict(self)

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Columns":
        """Return what `as_json` kept; what it does not know is passed over."""
        return cls(**{name: kept[name] for name in cls.__dataclass_fields__ if name in kept})


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
    found: dict[str, Any] = {}
    for what, usual in USUAL_HEADS.items():
        named = (name for name in head if name.casefold() in usual)
        found[what] = next((name for name in named if name not in found.values()), "")
    return Columns(**found)


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

    def cell(head: str) -> str:
        return row.get(head, "").strip() if head else ""

    amount = _amount(cell(columns.amount), currency, language)
    fee = _fee(cell(columns.fee), currency, language)
    if columns.net:
        amount += fee
    if amount == 0:
        raise RowRejected("The amount is nought: nothing was charged.")
    day, time = _day(cell(columns.day), columns.order, zone)
    if cell(columns.time):
        time = _time(cell(columns.time))
    at = datetime.datetime.combine(day, time, zone) if time is not None else None
    return Told(amount, day, at, cell(columns.text)[:120], fee)


def _amount(text: str, currency: Currency, language: str) -> int:
    """Return an amount; one with a minus or in brackets is below zero."""
    bare = text.strip().lstrip("'")
    below = bare.startswith((*_MINUS, "(")) or bare.endswith(tuple(_MINUS))
    try:
        minor = parse_amount(bare.strip("()-− ") if below else bare, currency, language)
    except Refused as refused:
        raise RowRejected(refused.message.replace(" Nothing was saved.", "")) from refused
    return -minor if below else minor


def _fee(text: str, currency: Currency, language: str) -> int:
    """Return a fee, above zero however it is written; an empty cell is none."""
    return abs(_amount(text, currency, language)) if text else 0


def _day(
    text: str, order: str, zone: zoneinfo.ZoneInfo
) -> tuple[datetime.date, datetime.time | None]:
    """Return a day, and the time where one stands behind it."""
    moment = _moment(text, zone)
    if moment is not None:
        return moment.date(), moment.time()
    found = re.fullmatch(r"(\d{1,4})[-/. ]+(\d{1,2})[-/. ]+(\d{1,4})(?:[T ,]+(.+))?", text)
    if found is None:
        raise RowRejected(f"“{text}” can't be read as a day." if text else "There is no day.")
    parts = [int(part) for part in found.groups()[:3]]
    # Four digits in front are a year, whatever the order that was chosen.
    given = "ymd" if len(found.group(1)) == 4 else order
    year, month, number = (parts[given.index(letter)] for letter in "ymd")
    try:
        day = datetime.date(year + 2000 if year < 100 else year, month, number)
    except ValueError:
        raise RowRejected(
            f"“{text}” is no day when read as {ORDERS[order].split(' (')[0]}."
        ) from None
    return day, _time(found.group(4)) if found.group(4) else None


def _moment(text: str, zone: zoneinfo.ZoneInfo) -> datetime.datetime | None:
    """Return an ISO 8601 moment that has both a day and a time, or None."""
    if not re.match(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d", text):
        return None
    try:
        moment = datetime.datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment.astimezone(zone) if moment.tzinfo is not None else moment


def _time(text: str) -> datetime.time:
    """Return a time of day: 14:35, 14:35:10, 2:35 PM."""
    found = re.fullmatch(
        r"(\d{1,2})[:.](\d\d)(?:[:.](\d\d)(?:\.\d+)?)? ?([AaPp])?\.?[Mm]?\.?", text
    )
    if found is None:
        raise RowRejected(f"“{text}” can't be read as a time.")
    hour, minute, second = int(found[1]), int(found[2]), int(found[3] or 0)
    if found[4]:
        hour = hour % 12 + (12 if found[4] in "Pp" else 0)
    try:
        return datetime.time(hour, minute, second)
    except ValueError:
        raise RowRejected(f"“{text}” is no time of day.") from None
