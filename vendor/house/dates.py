"""How days are said in words, in the one way of the studio: by its language (CLDR, through Babel).

Pages use the tags of the same names. Most places that say a day have no settings row at hand, so
the studio of the request that is being answered is kept here; without one it is read.
"""

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from babel.dates import format_date, format_interval, format_skeleton

from vendor.house import written
from vendor.house.models import Studio
from vendor.house.numerals import locale_of
from vendor.house.studio import studio_or_none

_at_hand: ContextVar[Studio | None] = ContextVar("studio_at_hand", default=None)


@contextmanager
def said_as_by(studio: Studio) -> Iterator[None]:
    """Say days as this studio does, as long as its request is answered."""
    token = _at_hand.set(studio)
    try:
        yield
    finally:
        _at_hand.reset(token)


def day(date: datetime.date) -> str:
    """Return a day with its weekday: “Sat, Dec 5, 2026”."""
    return written.day(date, _studio())


def short_day(date: datetime.date) -> str:
    """Return a day of a year that is known: “Dec 5”."""
    return _by("MMMd", date)


def month(date: datetime.date) -> str:
    """Return a month: “December 2026”."""
    return _by("yMMMM", date)


def weekday(date: datetime.date) -> str:
    """Return a day of a week that is known: “Saturday”."""
    return str(format_date(date, "EEEE", locale=locale_of(_studio().language)))


def short_weekday(date: datetime.date) -> str:
    """Return the same in short: “Sat”."""
    return _by("E", date)


def span(first: datetime.date, last: datetime.date) -> str:
    """Return the days from the first to the last, with the year: “Dec 5 – 6, 2026”."""
    if first == last:
        return _by("yMMMd", first)
    return str(format_interval(first, last, "yMMMd", locale=locale_of(_studio().language)))


def _by(skeleton: str, date: datetime.date) -> str:
    return str(format_skeleton(skeleton, date, locale=locale_of(_studio().language)))


def _studio() -> Studio:
    """Return the studio of the request, else that of the books, else one as they usually are."""
    return _at_hand.get() or studio_or_none() or Studio(currency="USD")
