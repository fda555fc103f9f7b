"""Cells of a row from anywhere, read by the columns that the user named. Pure: no tables.

A cell either can be read, or its row is rejected with a sentence that says why.
"""

import datetime
import re
import zoneinfo
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from vendor.house.errors import Refused
from vendor.house.money import Currency, parse_amount

Mapped = TypeVar("Mapped")
ORDERS = {
    "ymd": "year, month, day (2026-11-21)",
    "dmy": "day, month, year (21.11.2026)",
    "mdy": "month, day, year (11/21/2026)",
}
_MINUS = "-−"
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]


class RowRejected(Exception):  # noqa: N818 - named as it reads
    """A row that can't be used, with the sentence that says why."""


def proposed(head: Sequence[str], usual: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Return which head each meaning probably has, each head once; the user decides.

    `usual` is the heads, in small letters, that are often used for a meaning.
    """
    found: dict[str, str] = {}
    for what, names in usual.items():
        fitting = (name for name in head if name.casefold() in names and name not in found.values())
        name = next(fitting, None)
        if name is not None:
            found[what] = name
    return found


def from_json(kind: type[Mapped], kept: Mapping[str, Any], **more: Any) -> Mapped:
    """Return the columns, a dataclass, that were kept as JSON; `more` instead of what was kept.

    What the `kind` does not know is left out: an older edition may have kept it.
    """
    fields: Mapping[str, Any] = vars(kind)["__dataclass_fields__"]
    known = {name: value for name, value in kept.items() if name in fields}
    return kind(**(known | more))


def cell(row: Mapping[str, str], head: str) -> str:
    """Return what stands under a head; empty where there is no such column."""
    return row.get(head, "").strip() if head else ""


def signed_amount(text: str, currency: Currency, language: str) -> int:
    """Return an amount in minor units; one with a minus or in brackets is below zero."""
    bare = text.strip().lstrip("'")
    below = bare.startswith((*_MINUS, "(")) or bare.endswith(tuple(_MINUS))
    try:
        minor = parse_amount(bare.strip("()-− ") if below else bare, currency, language)
    except Refused as refused:
        raise RowRejected(refused.message.replace(" Nothing was saved.", "")) from refused
    return -minor if below else minor


def day_and_rest(text: str, order: str) -> tuple[datetime.date, str]:
    """Return a day written in the given order (see ORDERS), and what stands behind it."""
    found = re.fullmatch(r"(\d{1,4})[-/. ]+(\d{1,2})[-/. ]+(\d{1,4})(?:[T ,]+(.*))?", text)
    named = named_month(text)
    if found:
        parts = [int(part) for part in found.groups()[:3]]
        # Four digits in front are a year, whatever the order that was chosen.
        given = "ymd" if len(found.group(1)) == 4 else order
        year, month, day = (parts[given.index(letter)] for letter in "ymd")
    elif named and named[2]:
        year, month, day = named
    else:
        raise RowRejected(f"“{text}” can't be read as a day." if text else "There is no day.")
    try:
        read = datetime.date(year + 2000 if year < 100 else year, month, day)
    except ValueError:
        raise RowRejected(
            f"“{text}” is no day when read as {ORDERS[order].split(' (')[0]}."
        ) from None
    return read, (found.group(4) or "") if found else ""


def day_and_time(
    text: str, order: str, zone: zoneinfo.ZoneInfo
) -> tuple[datetime.date, datetime.time | None]:
    """Return a day, and the time where one stands behind it.

    A moment with an offset of its own is brought to `zone`; any other is read as in it.
    """
    moment = _moment(text, zone)
    if moment is not None:
        return moment.date(), moment.time()
    day, rest = day_and_rest(text, order)
    return day, time_of_day(rest) if rest else None


def time_of_day(text: str) -> datetime.time:
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


def named_month(text: str) -> tuple[int, int, int] | None:
    """Return year, month and day (0: none) of a text with the month's English name, or None."""
    words = re.findall(r"[A-Za-z]+|\d+", text)
    names = [word[:3].lower() for word in words if word.isalpha()]
    years = [int(word) for word in words if word.isdigit() and len(word) == 4]
    days = [int(word) for word in words if word.isdigit() and len(word) <= 2]
    if len(words) > 3 or len(names) != 1 or names[0] not in _MONTHS or len(years) != 1:
        return None
    return years[0], _MONTHS.index(names[0]) + 1, days[0] if days else 0


def _moment(text: str, zone: zoneinfo.ZoneInfo) -> datetime.datetime | None:
    """Return an ISO 8601 moment that has both a day and a time, or None."""
    if not re.match(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d", text):
        return None
    try:
        moment = datetime.datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment.astimezone(zone) if moment.tzinfo is not None else moment
