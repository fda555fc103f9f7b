"""Says in one line why a number advises what it does, with the clock time of a sell-out."""

import datetime
from collections.abc import Mapping
from dataclasses import replace

from vendor.house import clock, dates, written
from vendor.house.models import Studio
from vendor.house.money import Currency, format_amount
from vendor.restock.loading import Limit, Line
from vendor.restock.presence import Stint
from vendor.restock.reason import Reason, SoldOut, sentence

NO_BREAK = "\u00a0"


def when(at: datetime.datetime, studio: Studio) -> str:
    """Return a naive moment of the studio's clock as weekday and time: “Sunday 1:05 PM”."""
    return f"{dates.weekday(at)} {written.time(clock.at(at.date(), at.time(), studio), studio)}"


def short_when(at: datetime.datetime, studio: Studio) -> str:
    """Return the same as short as it can be said: “Sun 1:05 PM”."""
    return (
        f"{dates.short_weekday(at)} {written.time(clock.at(at.date(), at.time(), studio), studio)}"
    )


def why(reason: Reason, told: Mapping[int, Stint], *, latest: int, studio: Studio) -> str:
    """Return why a ware is expected to sell so much; `latest` is the latest weekend's number."""
    if not isinstance(reason, SoldOut):
        return sentence(reason)
    stint = told.get(reason.weekend)
    if stint is None or stint.sold_out_at is None:
        return sentence(reason)
    earlier = "" if reason.weekend == latest else f"in weekend {reason.weekend}, "
    pieces = "the only piece" if reason.sold == 1 else f"{reason.sold} pieces"
    gone_in = f"{hours(reason.hours, reason.open_hours)} open hours"
    return f"Sold out {earlier}{when(stint.sold_out_at, studio)}: {pieces} gone in {gone_in}."


def why_so_many(line: Line, *, left_for_room: int, made: bool) -> str:
    """Return why so many are brought: what is wanted, what is there, and what limits it."""
    parts = [f"{line.wanted} wanted"]
    if line.there:
        parts.append(f"{line.there} there")
    if left_for_room:
        parts.append(f"no room for {left_for_room}")
    elif line.limit is Limit.STOCK:
        parts.append(f"{line.free} free" if line.free else "none free")
    if not made:
        parts.append("not made any more")
    return ", ".join(part.replace(" ", NO_BREAK) for part in parts)


def about(minor: int, studio: Studio) -> str:
    """Return a guess at an amount as precisely as a guess can be told: “$5,400”."""
    rounded = two_digits(minor)
    currency = Currency.of(studio.currency)
    units, rest = divmod(rounded, currency.scale)
    if rest:
        return written.money(rounded, studio)
    return format_amount(units, replace(currency, exponent=0), studio.language)


def two_digits(amount: int) -> int:
    """Round to two leading digits, half up: 3,650 becomes 3,700."""
    step: int = 10 ** max(len(str(amount)) - 2, 0)
    return (2 * amount + step) // (2 * step) * step


def hours(there: float, whole: float) -> str:
    """Return hours on the stall out of all: “10.7 of 14”."""
    return " of ".join(f"{each:.1f}".removesuffix(".0") for each in (there, whole))
