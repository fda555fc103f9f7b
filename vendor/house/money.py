"""Money as whole minor units: currencies, exact rounding, and amounts and rates as people write.

An amount is an `int` of the currency's minor unit (ISO 4217: 3400 is 34.00 USD, 34 JPY is 34 yen,
34000 is 34.000 KWD); a rate is an `int` in parts per million (72500 is 7.25 %). Nothing here is
ever a float. Arithmetic goes by the exponents of ISO 4217, writing by CLDR (Babel) but with
those same exponents: CLDR writes MGA without decimals, ISO 4217 gives it two, and an amount must
show all that it holds.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache

import iso4217
from babel.numbers import NumberPattern, get_currency_symbol, parse_pattern

from vendor.house.errors import Refused
from vendor.house.numerals import (
    LONGEST,
    BelowZero,
    UnreadableNumber,
    decimal_sign,
    locale_of,
    read_number,
    tidied,
)

MILLION = 1_000_000
"""A whole, in parts per million: 100 %."""

MAX_MINOR = 10**12 - 1
"""No amount is larger than this many minor units, so that sums stay exact in JavaScript too."""

MAX_MONEY = 10**11
"""No single price, contribution or tip is above this many minor units: enough for the currencies
of which it takes most to make a pot's price (a rial of ISO 4217 has two decimals), and a typed
slip of five digits too many is still found in the others."""

_RATE_PLACES = 4  # one part per million is 0.0001 %
_NO_BREAK_SPACE = "\xa0"


class UnknownCurrency(Refused):
    """Three letters that are not a currency with a minor unit in ISO 4217."""


class NotAnAmount(Refused):
    """Text that is not an amount of money in the currency."""


class NotARate(Refused):
    """Text that is not a percentage between 0 and 100."""


@dataclass(frozen=True)
class Currency:
    """A currency: its ISO 4217 code, and how many decimal digits its minor unit takes (0 to 4)."""

    code: str
    exponent: int

    @property
    def scale(self) -> int:
        """How many minor units make one unit: 100 for USD, 1 for JPY, 1000 for KWD."""
        return int(10**self.exponent)

    @classmethod
    def of(cls, code: str) -> "Currency":
        """Return the currency with these three letters; refuses what ISO 4217 does not list."""
        found = currencies().get(code.strip().upper())
        if found is None:
            raise UnknownCurrency(
                f"“{code}” is not a currency. Nothing was saved. "
                "Give the three letters of ISO 4217, for example USD or EUR."
            )
        return found


@cache
def currencies() -> dict[str, Currency]:
    """Return all currencies of ISO 4217 that have a minor unit, by code, in order of code."""
    listed = sorted(iso4217.Currency, key=lambda listed: listed.code)
    return {
        each.code: Currency(each.code, each.exponent)
        for each in listed
        if each.exponent is not None
    }


def half_up(numerator: int, denominator: int) -> int:
    """Return numerator ÷ denominator as the nearest whole number, a half going away from zero.

    Away from zero, so that a refund is the exact mirror of its sale: half_up(-n, d) is always
    -half_up(n, d). For amounts above zero that is the usual half up. `denominator` is above zero.
    """
    if denominator <= 0:
        raise ValueError("The denominator has to be above zero.")
    size = (2 * abs(numerator) + denominator) // (2 * denominator)
    return size if numerator >= 0 else -size


def share_of(amount: int, rate_ppm: int) -> int:
    """Return the part of an amount that a rate in parts per million makes, rounded half up."""
    return half_up(amount * rate_ppm, MILLION)


def parse_amount(text: str, currency: Currency, language: str) -> int:
    """Return the minor units that a person typed: “34”, “$1,234.50”, “34,50 €”.

    The currency's own sign or code may stand before or behind; which separators are understood
    is told at `numerals.read_number`. Refuses (`NotAnAmount`) an empty text, a minus, more
    decimals than the currency has, an amount above `MAX_MINOR`, and whatever else is no number.
    """
    bare = _without_currency(text, currency, language)
    try:
        value = read_number(bare, language, currency.exponent)
    except BelowZero:
        raise NotAnAmount(
            f"“{_shortened(text)}” is below zero. Nothing was saved. Write the amount without a "
            "minus; money that goes back to a customer is entered as a refund."
        ) from None
    except UnreadableNumber:
        raise NotAnAmount(_how_to_write(text, currency, language)) from None
    return _within_bounds(value, text, currency, language)


def format_amount(minor: int, currency: Currency, language: str) -> str:
    """Return an amount with its currency's sign, for people: “$1,234.50”, “1.234,50 €”."""
    locale = locale_of(language)
    written = _currency_pattern(language, currency.exponent).apply(_units(minor, currency), locale)
    symbol = get_currency_symbol(currency.code, locale)
    return re.sub("(.?)¤(.?)", _set_symbol(symbol), written)


def format_number(minor: int, currency: Currency, language: str) -> str:
    """Return an amount without any sign of its currency, for columns: “1,234.50”."""
    pattern = _number_pattern(language, currency.exponent)
    return str(pattern.apply(_units(minor, currency), locale_of(language)))


def plain_amount(minor: int, currency: Currency) -> str:
    """Return an amount for machines (CSV, number fields): digits and a point, “1234.50”."""
    return f"{_units(minor, currency):.{currency.exponent}f}"


def typed_amount(minor: int, currency: Currency, language: str) -> str:
    """Return an amount as a person would type it into a field: “1234.50”, in de_DE “1234,50”.

    `parse_amount` reads it back in the same language. (The plain form would not do: “34.500”
    KWD means thirty-four thousand in German.)
    """
    return plain_amount(minor, currency).replace(".", decimal_sign(language))


def parse_rate(text: str, language: str, *, most_ppm: int = MILLION) -> int:
    """Return the parts per million of a typed percentage: “7.25” or “7,25 %” is 72500.

    A rate has no thousands, so a point and a comma mean the same in every language. Refuses
    (`NotARate`) anything but 0 to `most_ppm` (100 %) with at most four decimals.
    """
    digits = re.sub(r" ?% ?", "", tidied(text), count=1)
    if len(text) <= LONGEST and re.fullmatch(rf"[0-9]+(?:[.,][0-9]{{1,{_RATE_PLACES}}})?", digits):
        value = Decimal(digits.replace(",", "."))
        if value <= Decimal(most_ppm).scaleb(-_RATE_PLACES):
            return int(value.scaleb(_RATE_PLACES))
    raise NotARate(
        f"“{_shortened(text)}” can't be read as a percentage. Nothing was saved. Write a number "
        f"from 0 to {typed_rate(most_ppm, language)} with at most four decimals, for example "
        f"{typed_rate(72_500, language)}."
    )


def format_rate(rate_ppm: int, language: str) -> str:
    """Return a rate for people, with all its decimals and no more: “7.25%”, “7,25 %”."""
    locale = locale_of(language)
    pattern = parse_pattern(locale.percent_formats[None].pattern)
    pattern.frac_prec = (0, _RATE_PLACES)
    return str(pattern.apply(Decimal(rate_ppm).scaleb(-6), locale))


def typed_rate(rate_ppm: int, language: str) -> str:
    """Return a rate as a person would type it into a field, without a sign: “7.25”."""
    plain = f"{Decimal(rate_ppm).scaleb(-_RATE_PLACES):.{_RATE_PLACES}f}".rstrip("0").rstrip(".")
    return plain.replace(".", decimal_sign(language))


def _units(minor: int, currency: Currency) -> Decimal:
    """Return an amount in whole units, exactly."""
    return Decimal(minor).scaleb(-currency.exponent)


@lru_cache(maxsize=64)
def _currency_pattern(language: str, exponent: int) -> NumberPattern:
    """Return the language's way of writing money, with exactly `exponent` decimals."""
    # Parsed afresh: the locale's own pattern is shared, and must keep its decimals.
    pattern = parse_pattern(locale_of(language).currency_formats["standard"].pattern)
    pattern.frac_prec = (exponent, exponent)
    return pattern


@lru_cache(maxsize=64)
def _number_pattern(language: str, exponent: int) -> NumberPattern:
    """Return the language's way of writing numbers, with exactly `exponent` decimals."""
    pattern = parse_pattern(locale_of(language).decimal_formats[None].pattern)
    pattern.frac_prec = (exponent, exponent)
    return pattern


def _set_symbol(symbol: str) -> Callable[[re.Match[str]], str]:
    """Return how to put a currency's sign in its place, off the digits where it ends in a letter.

    The space between letters and digits (“CHF 34.00”) is CLDR's currency spacing rule, which
    Babel leaves out.
    """

    def placed(match: re.Match[str]) -> str:
        before, behind = match.groups()
        left = _NO_BREAK_SPACE if before.isdigit() and symbol[0].isalpha() else ""
        right = _NO_BREAK_SPACE if behind.isdigit() and symbol[-1].isalpha() else ""
        return f"{before}{left}{symbol}{right}{behind}"

    return placed


def _without_currency(text: str, currency: Currency, language: str) -> str:
    """Return a typed amount without the currency's own sign or code at either end."""
    if len(text) > LONGEST:
        return text
    bare = tidied(text)
    symbol = tidied(get_currency_symbol(currency.code, locale_of(language)))
    for sign in (symbol, currency.code):
        if bare.casefold().startswith(sign.casefold()):
            return bare[len(sign) :].lstrip()
        if bare.casefold().endswith(sign.casefold()):
            return bare[: -len(sign)].rstrip()
    return bare


def _within_bounds(value: Decimal, text: str, currency: Currency, language: str) -> int:
    """Return the minor units of a number, without what it has below them; refuses too much."""
    if value > _units(MAX_MINOR, currency):
        most = format_amount(MAX_MINOR, currency, language)
        raise NotAnAmount(
            f"“{_shortened(text)}” is too much. Nothing was saved. The most that can be entered "
            f"is {most}; look for a slip of the keys."
        )
    return int(value * currency.scale)


def _how_to_write(text: str, currency: Currency, language: str) -> str:
    """Return the sentence that refuses a text as an amount and shows a right one."""
    if not text.strip():
        refusal = "There is no amount."
    else:
        refusal = f"“{_shortened(text)}” can't be read as an amount of {currency.code}."
    decimals = {0: "no decimals", 1: "one decimal"}.get(
        currency.exponent, f"at most {currency.exponent} decimals"
    )
    example = format_number(1234 * currency.scale + currency.scale // 2, currency, language)
    return f"{refusal} Nothing was saved. Write it with {decimals}, for example {example}."


def _shortened(text: str) -> str:
    """Return a typed text, cut where it is too long to be repeated."""
    stripped = text.strip()
    return stripped if len(stripped) <= LONGEST else f"{stripped[:LONGEST]}…"
