"""Cash: rounding to the coins there are, change, and what customers are likely to hand over.

Amounts are minor units of one currency.
"""

from collections.abc import Sequence

from vendor.house.coins import notes_of
from vendor.house.errors import Refused
from vendor.house.money import Currency, half_up


class TooLittleTendered(Refused):
    """The customer handed over less than what is due: `missing` more minor units are needed."""

    def __init__(self, missing: int) -> None:
        super().__init__(
            "The customer handed over less than what is due. The sale is still open: take the "
            "rest in cash, or take it by card."
        )
        self.missing = missing


def round_cash(amount: int, step: int) -> int:
    """Return the nearest multiple of `step`, the smallest sum that coins can make.

    A step of 1 leaves every amount alone. Rounded is the total after tax, once, and only the part
    that is paid in cash. Amounts below zero are the mirror of those above: what was rounded up
    when paid is rounded up when paid back. Halfway goes up; a 5-cent step on whole cents has no
    halfway, and with a 10-cent step practice differs from country to country.
    """
    return half_up(amount, step) * step


def change_due(due: int, tendered: int) -> int:
    """Return what goes back to the customer; refuses (`TooLittleTendered`) less than is due."""
    if tendered < due:
        raise TooLittleTendered(due - tendered)
    return tendered - due


def likely_tenders(due: int, currency: Currency, *, limit: int = 4) -> tuple[int, ...]:
    """Return the sums that customers are likely to hand over, the exact one first, ascending.

    At 34.00 USD: 34.00, 40.00, 50.00, 100.00. A sum is likely if it is the next multiple of some
    note and takes few notes: as many of the largest as the amount holds, and at most two more.
    Nothing is likely where nothing is due. `due` is already rounded to the cash step.
    """
    if due <= 0:
        return ()
    notes = [note * currency.scale for note in notes_of(currency, due)]
    few = due // notes[-1] + 2
    rounded_up = {-(-due // note) * note for note in notes}
    likely = {each for each in rounded_up if _how_many(each, notes) <= few}
    return (due, *sorted(likely - {due}))[:limit]


def _how_many(amount: int, notes: Sequence[int]) -> int:
    """Return how many notes make an amount, the largest first."""
    count = 0
    for note in sorted(notes, reverse=True):
        count += amount // note
        amount %= note
    return count
