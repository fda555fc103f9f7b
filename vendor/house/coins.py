"""The notes and coins in people's purses, by currency.

From memory, for convenience only: what a till's count sheet lists and what the counter suggests
as tendered. Nothing is refused because of it, and no arithmetic rests on it. A currency that is
not listed gets the series 1, 2, 5, 10, 20, 50, …, as most of the world's money does.
"""

from dataclasses import dataclass

from vendor.house.money import Currency


@dataclass(frozen=True)
class _Purse:
    """A currency's usual money: notes in whole units, coins in minor units, both ascending."""

    notes: tuple[int, ...]
    coins: tuple[int, ...]


_PURSES = {
    "AUD": _Purse((5, 10, 20, 50, 100), (5, 10, 20, 50, 100, 200)),
    "BRL": _Purse((2, 5, 10, 20, 50, 100, 200), (5, 10, 25, 50, 100)),
    "CAD": _Purse((5, 10, 20, 50, 100), (5, 10, 25, 100, 200)),
    "CHF": _Purse((10, 20, 50, 100, 200), (5, 10, 20, 50, 100, 200, 500)),
    "CZK": _Purse((100, 200, 500, 1000, 2000, 5000), (100, 200, 500, 1000, 2000, 5000)),
    "DKK": _Purse((50, 100, 200, 500), (50, 100, 200, 500, 1000, 2000)),
    "EUR": _Purse((5, 10, 20, 50, 100, 200), (1, 2, 5, 10, 20, 50, 100, 200)),
    "GBP": _Purse((5, 10, 20, 50), (1, 2, 5, 10, 20, 50, 100, 200)),
    "INR": _Purse((10, 20, 50, 100, 200, 500), (100, 200, 500, 1000, 2000)),
    "JPY": _Purse((1000, 5000, 10000), (1, 5, 10, 50, 100, 500)),
    "KRW": _Purse((1000, 5000, 10000, 50000), (10, 50, 100, 500)),
    "MXN": _Purse((20, 50, 100, 200, 500, 1000), (50, 100, 200, 500, 1000, 2000)),
    "NOK": _Purse((50, 100, 200, 500, 1000), (100, 500, 1000, 2000)),
    "NZD": _Purse((5, 10, 20, 50, 100), (10, 20, 50, 100, 200)),
    "PLN": _Purse((10, 20, 50, 100, 200, 500), (1, 2, 5, 10, 20, 50, 100, 200, 500)),
    "SEK": _Purse((20, 50, 100, 200, 500, 1000), (100, 200, 500, 1000)),
    "USD": _Purse((1, 5, 10, 20, 50, 100), (1, 5, 10, 25)),
    "ZAR": _Purse((10, 20, 50, 100, 200), (10, 20, 50, 100, 200, 500)),
}
_LARGEST_NOTE = 100_000


def notes_of(currency: Currency, due: int = 0) -> tuple[int, ...]:
    """Return the usual notes in whole units, ascending.

    For a currency that is not listed, the series 1, 2, 5, … goes to the first that is at least
    twice the amount `due` (in minor units).
    """
    purse = _PURSES.get(currency.code)
    return purse.notes if purse else _series(-(-2 * due // currency.scale))


def denominations(currency: Currency) -> tuple[int, ...]:
    """Return the notes and coins a till may hold, in minor units, the largest first.

    For a currency that is not listed the series is a long one, from 1 minor unit to 100 000
    units: a count sheet shows what is filled in.
    """
    purse = _PURSES.get(currency.code)
    if purse is None:
        return tuple(reversed(_series(_LARGEST_NOTE * currency.scale)))
    notes = {note * currency.scale for note in purse.notes}
    return tuple(sorted(notes | set(purse.coins), reverse=True))


def _series(least: int) -> tuple[int, ...]:
    """Return 1, 2, 5, 10, 20, 50, … up to the first that is at least `least`."""
    series = [1]
    while series[-1] < least:
        tenfold = 10 ** (len(series) // 3)
        series.append((1, 2, 5)[len(series) % 3] * tenfold)
    return tuple(series)
