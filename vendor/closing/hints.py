"""What may lie behind a weekend's differences: slips at the till, sales that nobody rang up.

Pots and money are laid beside each other, so that one tells of the other. Hints only: a person
decides. Nothing here writes.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from vendor.closing.pairs import Odd, Priced, likely_swaps, paid_for
from vendor.closing.queries import StallLine
from vendor.closing.tills import Stretch, TillSheet
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Fair
from vendor.fairs.prices import at_the_fair
from vendor.house.tax import TaxRounding, add_tax
from vendor.ledger.actions import Line


@dataclass(frozen=True, slots=True)
class Swapped:
    """A likely slip: pieces of one ware rung up as another."""

    missing: StallLine
    extra: StallLine
    quantity: int

    @property
    def name(self) -> str:
        """What names it on a form: which row for which."""
        ends = (self.missing, self.extra)
        return "-for-".join(f"{line.ware.pk}-{line.grade}" for line in ends)

    @property
    def reasons(self) -> tuple[tuple[StallLine, str], tuple[StallLine, str]]:
        """What would be written down beside each of the two."""
        return (
            (self.missing, f"{self.quantity} sold, but rung up as {self.extra.name}"[:200]),
            (self.extra, f"{self.quantity} rung up that was {self.missing.name}"[:200]),
        )


@dataclass(frozen=True, slots=True)
class Unrung:
    """Missing pieces that together cost just what a cash box is over at a count."""

    pieces: tuple[tuple[StallLine, int], ...]
    box: Stretch
    where: str

    @property
    def name(self) -> str:
        """What names it on a form: which rows, and how many of each."""
        pieces = "-and-".join(
            f"{line.ware.pk}-{line.grade}-{quantity}" for line, quantity in self.pieces
        )
        if (self.box.number, self.box.day) == (FIRST_TILL, None):
            return pieces
        return f"{pieces}-in-{self.box.number}-{self.box.day or 'end'}"

    @property
    def words(self) -> str:
        """What they are, in words."""
        return " and ".join(f"{quantity} × {line.name}" for line, quantity in self.pieces)

    @property
    def lines(self) -> list[Line]:
        """What would be sold by count."""
        return [Line(line.ware.pk, quantity, line.grade) for line, quantity in self.pieces]


@dataclass(frozen=True, slots=True)
class Worth:
    """What the differences of the pots are worth with tax (minor units), where a price is known."""

    missing: int
    extra: int
    unpriced: int

    @property
    def net(self) -> int:
        """What is missing, less what is too many; below zero, more is too many."""
        return self.missing - self.extra


def worth(fair: Fair, lines: Sequence[StallLine], *, on: datetime.date) -> Worth:
    """Return what missing pieces would have brought, and those too many (one kind at a time)."""
    differing = [line for line in lines if line.net]
    prices = at_the_fair(fair, [line.ware for line in differing], on=on)
    sums = {True: 0, False: 0}
    unpriced = 0
    for line in differing:
        price = prices.get((line.ware.pk, line.grade))
        if price is None:
            unpriced += 1
        else:
            sums[line.net < 0] += _charged(fair, [abs(line.net) * price])
    return Worth(sums[True], sums[False], unpriced)


def swaps(lines: Sequence[StallLine]) -> list[Swapped]:
    """Return the likely slips among differences that have no reason yet."""
    unexplained = {(line.ware.pk, line.grade): line for line in lines if line.is_open and line.net}
    odd = [
        Odd(spot, line.ware.form_id, line.ware.finish_id, line.net, line.grade)
        for spot, line in unexplained.items()
    ]
    return [
        Swapped(unexplained[swap.missing], unexplained[swap.extra], swap.quantity)  # type: ignore[index]
        for swap in likely_swaps(odd)
    ]


def sold_unrung(
    fair: Fair, lines: Sequence[StallLine], sheet: TillSheet, *, on: datetime.date
) -> list[Unrung]:
    """Return the sets of missing pieces that cost, with tax, just what a till is over."""
    over = [each for each in sheet.stretches if (each.over_short or 0) > 0]
    if not over:
        return []
    missing = {(line.ware.pk, line.grade): line for line in lines if line.missing}
    prices = at_the_fair(fair, [line.ware for line in missing.values()], on=on)
    priced = [
        Priced(spot, line.missing, prices[spot]) for spot, line in missing.items() if spot in prices
    ]
    return [
        Unrung(
            tuple((missing[spot], count) for spot, count in counts.items()),  # type: ignore[index]
            box,
            sheet.name_of(box) if len(sheet.stretches) > 1 else "The till",
        )
        for box in over
        for counts in paid_for(box.over_short or 0, priced, charged=partial(_charged, fair))
    ]


def _charged(fair: Fair, amounts: Sequence[int]) -> int:
    """Return what a sale of such lines comes to at a fair (minor units)."""
    if fair.tax_included:
        return sum(amounts)
    if TaxRounding(fair.tax_rounding) is TaxRounding.RECEIPT:
        amounts = [sum(amounts)]
    return sum(add_tax(amount, fair.tax_rate_ppm).total for amount in amounts)
