"""The two equations of a closing, pots and money. Pure: whole numbers in, whole numbers out.

Inventory equation and cash over and short as in OpenStax, Principles of Accounting, volume 1,
chapters 8 and 10: what was there, and what came, less what went, is what should be there.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields

from vendor.house.money import MILLION, half_up

# Which column a flow belongs to, by the kind of the place at the other end (`Place.Kind`).
CAME = {
    "studio": "packed_in",
    "online": "packed_in",
    "gallery": "packed_in",
    "stall": "packed_in",
    "kiln": "packed_in",
    "sold": "taken_back",
    "found": "found",
    "adjusted": "corrected",
}
WENT = {
    "studio": "returned",
    "online": "returned",
    "gallery": "returned",
    "stall": "returned",
    "sold": "sold",
    "broken": "broken",
    "given": "given",
    "traded": "traded",
    "own_use": "own_use",
    "sent": "handed_over",
}
IN = ("opening", "packed_in", "taken_back", "found", "corrected")


@dataclass(frozen=True, slots=True)
class Pots:
    """What came to and went from a stall, of one ware and grade (pieces)."""

    opening: int = 0
    packed_in: int = 0
    taken_back: int = 0
    found: int = 0
    corrected: int = 0
    sold: int = 0
    returned: int = 0
    broken: int = 0
    given: int = 0
    traded: int = 0
    own_use: int = 0
    handed_over: int = 0

    @property
    def expected(self) -> int:
        """What should stand there: all that was and came, less all that went."""
        return sum(
            getattr(self, field.name) * (1 if field.name in IN else -1) for field in fields(self)
        )

    @property
    def moved(self) -> bool:
        """Whether there was anything at all."""
        return any(getattr(self, field.name) for field in fields(self))

    def variance(self, counted: int) -> int:
        """Return counted less expected: below zero, pieces are missing."""
        return counted - self.expected

    def __add__(self, other: "Pots") -> "Pots":
        names = [field.name for field in fields(self)]
        return Pots(**{name: getattr(self, name) + getattr(other, name) for name in names})


def pots(opening: int, came: Mapping[str, int], went: Mapping[str, int]) -> Pots:
    """Sort flows by the kind of the other place into the equation's columns.

    A flow that has no column on its side is one undone the other way, and is taken off there.
    KeyError for a kind of place that the equation does not know, so that nothing is left out.
    """
    sums: dict[str, int] = dict.fromkeys((field.name for field in fields(Pots)), 0)
    sums["opening"] = opening
    for kind, quantity in came.items():
        if kind in CAME:
            sums[CAME[kind]] += quantity
        else:
            sums[WENT[kind]] -= quantity
    for kind, quantity in went.items():
        if kind in WENT:
            sums[WENT[kind]] += quantity
        else:
            sums[CAME[kind]] -= quantity
    return Pots(**sums)


def column_of(kind: str, *, incoming: bool, reversal: bool) -> tuple[str, int]:
    """Return the column of one movement, and 1 or -1: whether it adds there or takes off.

    `kind` is that of the place at the other end. The same rule as `pots`, one movement at a time:
    a reversal takes off on the side that it undoes.
    """
    undone = -1 if reversal else 1
    ours, others = (CAME, WENT) if incoming is not reversal else (WENT, CAME)
    return (ours[kind], undone) if kind in ours else (others[kind], -undone)


@dataclass(frozen=True, slots=True)
class Till:
    """What went into and out of a cash box between two counts, or over a weekend (minor units).

    `opening` is what the count before left in it, 0 where there was none; `deposits` came in on
    commissions, `deposits_back` went back when they were cancelled.
    """

    opening: int = 0
    cash_float: int = 0
    sales: int = 0
    tips: int = 0
    refunds: int = 0
    paid_in: int = 0
    paid_out: int = 0
    deposits: int = 0
    deposits_back: int = 0

    @property
    def expected(self) -> int:
        """What should be in it."""
        came = self.opening + self.cash_float + self.sales + self.tips + self.paid_in
        return came + self.deposits - self.refunds - self.paid_out - self.deposits_back

    def over_short(self, counted: int) -> int:
        """Return counted less expected: above zero the till is over, below it is short."""
        return counted - self.expected

    def above_float(self, counted: int) -> int:
        """Return what can be taken out so that the float stays in it; never below zero."""
        return max(0, counted - self.cash_float)

    def __add__(self, other: "Till") -> "Till":
        names = [field.name for field in fields(self)]
        return Till(**{name: getattr(self, name) + getattr(other, name) for name in names})


def total_of(pieces: Mapping[int, int]) -> int:
    """Return what notes and coins come to: how many of each, by their worth in minor units."""
    return sum(worth * number for worth, number in pieces.items())


def shrinkage_ppm(expected: int, counted: int) -> int:
    """Return what is missing as a share of what was expected, in parts per million.

    The denominator is the book stock, not the sales; below zero where more was counted. Nothing
    expected has no shrinkage.
    """
    return half_up((expected - counted) * MILLION, expected) if expected > 0 else 0
