"""Cash: rounding to the coins there are, and change.

Amounts are minor units of one currency.
"""

from vendor.house.errors import Refused
from vendor.house.money import half_up


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
