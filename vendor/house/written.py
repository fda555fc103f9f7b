"""How the studio writes what it measures: money, days, lengths and weights, in its own units.

One home for it, so that a screen, a tag and a spreadsheet say the same. Pure functions of a value
and the studio's settings row. Money is whole minor units, lengths are whole millimetres, weights
whole grams.
"""

import datetime
import zoneinfo
from decimal import Decimal
from typing import Protocol

from babel.dates import format_interval, format_skeleton, format_time

from vendor.house.money import Currency, format_amount, format_number, half_up
from vendor.house.numerals import locale_of

_TENTHS_OF_MM_PER_INCH = 254
# 1 lb avoirdupois is 453.592 37 g exactly, and has 16 oz.
_NG_PER_OUNCE = 28_349_523_125
_NG_PER_GRAM = 1_000_000_000
_QUARTERS = ("", "¼", "½", "¾")


class Writes(Protocol):
    """What has to be known of a studio to write for it (`vendor.house.models.Studio` has it)."""

    currency: str
    language: str
    units: str
    time_zone: str


def money(minor: int, studio: Writes) -> str:
    """Return an amount with its currency's sign: “$34.00”."""
    return format_amount(minor, Currency.of(studio.currency), studio.language)


def whole_money(minor: int, studio: Writes) -> str:
    """Return an amount to the nearest whole unit, for a chart's few words: “$5,248”."""
    currency = Currency.of(studio.currency)
    whole = half_up(minor, currency.scale)
    return format_amount(whole, Currency(currency.code, 0), studio.language)


def bare_money(minor: int, studio: Writes) -> str:
    """Return an amount without the currency's sign, for columns: “34.00”."""
    return format_number(minor, Currency.of(studio.currency), studio.language)


def major(minor: int, studio: Writes) -> Decimal:
    """Return an amount in whole units as an exact number, for spreadsheets: 34.00."""
    return Decimal(minor).scaleb(-Currency.of(studio.currency).exponent)


def day(date: datetime.date, studio: Writes) -> str:
    """Return a day with its weekday: “Sat, Dec 5, 2026”."""
    return str(format_skeleton("yMMMEd", date, locale=locale_of(studio.language)))


def days(first: datetime.date, last: datetime.date, studio: Writes) -> str:
    """Return the days from the first to the last, as short as they can be said: “Dec 5 – 6”."""
    if first == last:
        return str(format_skeleton("MMMd", first, locale=locale_of(studio.language)))
    return str(format_interval(first, last, "MMMd", locale=locale_of(studio.language)))


def time(moment: datetime.datetime, studio: Writes) -> str:
    """Return the studio's wall-clock time of an aware moment: “2:05 PM”."""
    return str(format_time(_local(moment, studio), "short", locale=locale_of(studio.language)))


def moment(at: datetime.datetime, studio: Writes) -> str:
    """Return an aware moment as the studio's calendar and clock show it."""
    return f"{day(_local(at, studio).date(), studio)}, {time(at, studio)}"


def _local(at: datetime.datetime, studio: Writes) -> datetime.datetime:
    return at.astimezone(zoneinfo.ZoneInfo(studio.time_zone))


def length(mm: int, studio: Writes) -> str:
    """Return a length: “11.5 cm”, or “4½ in” to the nearest quarter inch (a half goes up)."""
    if studio.units == "in":
        return f"{_quarters(half_up(mm * 40, _TENTHS_OF_MM_PER_INCH))} in"
    whole, tenth = divmod(mm, 10)
    return f"{whole}.{tenth} cm" if tenth else f"{whole} cm"


def size(height_mm: int, width_mm: int, studio: Writes) -> str:
    """Return the two measures of a form: “11 cm high, 8.5 cm wide”."""
    return f"{length(height_mm, studio)} high, {length(width_mm, studio)} wide"


def weight(grams: int, studio: Writes) -> str:
    """Return a weight: “850 g”, “1.25 kg”, or “1 lb 2 oz” (quarter ounces below four)."""
    if studio.units == "in":
        return _pounds(grams)
    if grams < 1000:
        return f"{grams} g"
    return f"{Decimal(grams).scaleb(-3).normalize():f} kg"


def _pounds(grams: int) -> str:
    quarters = half_up(grams * 4 * _NG_PER_GRAM, _NG_PER_OUNCE)
    if quarters < 16:
        return f"{_quarters(quarters)} oz"
    pounds, ounces = divmod(half_up(grams * _NG_PER_GRAM, _NG_PER_OUNCE), 16)
    parts = [f"{pounds} lb"] if pounds else []
    if ounces:
        parts.append(f"{ounces} oz")
    return " ".join(parts)


def _quarters(count: int) -> str:
    """Return a number of quarters as people write it: 0, ¼, 4½."""
    whole, rest = divmod(count, 4)
    return f"{whole or ''}{_QUARTERS[rest]}" or "0"
