"""Reading a number the way people write it, strictly: a slip is refused, never guessed at.

Knows separators and signs of a language (CLDR, through Babel); knows nothing of money. A number
is read if it is written properly in the given language, or if it can mean only one thing
anywhere. Digits are 0-9: that is what Babel writes with its `latn` numerals.
"""

import re
import unicodedata
from decimal import Decimal
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.numbers import (
    NumberFormatError,
    get_decimal_symbol,
    get_group_symbol,
    parse_decimal,
)

from vendor.house.errors import Refused

LONGEST = 40
"""A typed number has no more characters than this; longer text is not looked at."""

_APOSTROPHES = str.maketrans(dict.fromkeys("’ʼ‘`´", "'"))
_MINUS_SIGNS = ("-", "−", "–", "‒", "(")
_DIGITS = re.compile(r"[0-9]+")


class UnknownLanguage(Refused):
    """A language that Babel has no way of writing numbers for."""


class UnreadableNumber(ValueError):  # noqa: N818 - named as it reads
    """The text is not a number, or could mean more than one."""


class BelowZero(UnreadableNumber):
    """The text is a number with a minus sign, or in accountants' brackets."""


@lru_cache(maxsize=64)
def locale_of(language: str) -> Locale:
    """Return Babel's locale for a language such as `en_US` or `de-CH`.

    Raises `UnknownLanguage` for a language without rules.
    """
    try:
        return Locale.parse(language.replace("-", "_"))
    except (UnknownLocaleError, ValueError, TypeError) as error:
        raise UnknownLanguage(
            f"“{language}” is not a language that numbers can be written in. Nothing was saved. "
            "Choose one like en_US or de_DE in the studio's settings."
        ) from error


def tidied(text: str) -> str:
    """Return the text with one kind of space and apostrophe, and without direction marks."""
    kept = (char for char in text if unicodedata.category(char) != "Cf")
    spaced = "".join(" " if char.isspace() else char for char in kept)
    return spaced.translate(_APOSTROPHES).strip()


def read_number(text: str, language: str, decimals: int) -> Decimal:
    """Return the number that a text means, zero or more, with at most `decimals` decimal places.

    Three readings are tried in turn, and each is exact:

    1. Babel's strict one for the language: `1,234.50` in en_US, `1.234,50` in de_DE.
    2. Thousands set off by the language's sign, a space or an apostrophe: `1 234.50`.
    3. One point or comma, whichever the language uses, with exactly `decimals` digits behind
       it: a phone's number pad often has only one of the two. (`34,50` in en_US is 34.50; but
       `1,234` there stays 1234, because the first reading comes first.)

    Raises `UnreadableNumber`, or `BelowZero` for a minus sign.
    """
    if len(text) > LONGEST:
        raise UnreadableNumber(text[:LONGEST])
    tidy = tidied(text)
    if tidy.startswith(_MINUS_SIGNS) or tidy.endswith(("-", "−")):
        raise BelowZero(tidy)
    locale = locale_of(language)
    value = _properly(tidy, locale)
    if value is None:
        value = _in_thousands(tidy, locale)
    if value is None:
        value = _by_either_sign(tidy, decimals)
    if value is None or _places(value) > decimals:
        raise UnreadableNumber(tidy)
    return value


def decimal_sign(language: str) -> str:
    """Return the sign between whole and part in a language: `.` in en_US, `,` in de_DE."""
    return get_decimal_symbol(locale_of(language))


def _places(value: Decimal) -> int:
    """Return how many decimal places a number was written with."""
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _properly(tidy: str, locale: Locale) -> Decimal | None:
    """Read what Babel finds properly written in the language, else None."""
    group, point = get_group_symbol(locale), get_decimal_symbol(locale)
    as_written = tidied(f"0{group}0")[1:-1]
    # Decimal itself would also take 1e5, 1_000, NaN and digits of other scripts.
    shape = rf"[0-9]*(?:{re.escape(as_written)}[0-9]+)*(?:{re.escape(point)}[0-9]+)?"
    if not tidy or re.fullmatch(shape, tidy) is None:
        return None
    try:
        return parse_decimal(tidy.replace(as_written, group), locale=locale, strict=True)
    except NumberFormatError:
        return None


def _in_thousands(tidy: str, locale: Locale) -> Decimal | None:
    """Read digits that one sign sets off in threes, then perhaps decimals, else None."""
    own_group, own_point = tidied(f"0{get_group_symbol(locale)}0")[1:-1], get_decimal_symbol(locale)
    for group, points in ((own_group, own_point), (" ", ".,"), ("'", ".,")):
        shape = rf"[1-9][0-9]{{0,2}}(?:{re.escape(group)}[0-9]{{3}})+(?:[{points}][0-9]+)?"
        if re.fullmatch(shape, tidy):
            whole, *part = re.split(rf"[{points}]", tidy)
            return Decimal(".".join(["".join(_DIGITS.findall(whole)), *part]))
    return None


def _by_either_sign(tidy: str, decimals: int) -> Decimal | None:
    """Read digits, one point or comma, and exactly `decimals` digits, else None."""
    if decimals and re.fullmatch(rf"[0-9]+[.,][0-9]{{{decimals}}}", tidy):
        return Decimal(tidy.replace(",", "."))
    return None
