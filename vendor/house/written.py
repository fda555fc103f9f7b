"""How the studio writes what it measures: money, lengths and weights, in its own units.

One home for it, so that a screen, a tag and a spreadsheet say the same. Pure functions of a value
and the studio's settings row. Lengths are whole millimetres, weights whole grams, money whole
minor units.
"""

from decimal import Decimal
from typing import Protocol

import iso4217
from babel.numbers import format_currency, format_decimal

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


def money(minor: int, studio: Writes) -> str:
    """Return an amount with its currency's sign: “$34.00”."""
    return format_currency(major(minor, studio), studio.currency, locale=studio.language)


def bare_money(minor: int, studio: Writes) -> str:
    """Return an amount without the currency's sign, for columns: “34.00”."""
    return format_decimal(major(minor, studio), _pattern(studio), locale=studio.language)


def major(minor: int, studio: Writes) -> Decimal:
    """Return an amount in whole units as an exact number, for spreadsheets: 34.00."""
    return Decimal(minor).scaleb(-_exponent(studio))


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


def half_up(numerator: int, denominator: int) -> int:
    """Return the nearest whole number to a fraction of two numbers that are not below zero."""
    return (2 * numerator + denominator) // (2 * denominator)


def _exponent(studio: Writes) -> int:
    return iso4217.Currency(studio.currency).exponent or 0


def _pattern(studio: Writes) -> str:
    places = _exponent(studio)
    return "#,##0." + "0" * places if places else "#,##0"
