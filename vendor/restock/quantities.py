"""How many to bring of one ware: the newsvendor's quantity, and what to expect of it.

A missed sale costs what it would have earned; a piece carried for nothing costs its carriage,
wear and room. The quantity that costs least on average is the smallest whose cumulative
probability reaches the critical ratio missed / (missed + carried) (Snyder & Shen, Fundamentals of
Supply Chain Theory, 2nd ed., ch. 4; Nahmias, Production and Operations Analysis, ch. 5).
Costs are whole minor units of money; expected values are estimates, not money, and floats.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from vendor.house.money import MILLION, half_up
from vendor.restock.rates import smallest_count


class Demand(Protocol):
    """A distribution over the number of pieces asked for."""

    @property
    def mean(self) -> float:
        """Pieces expected to be asked for."""

    def at_most(self, count: int, /) -> float:
        """Probability that at most `count` are asked for."""

    def at_least(self, count: int, /) -> float:
        """Probability that at least `count` are asked for."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """What to expect of a quantity on the stall.

    `enough` is the probability that nobody asks in vain; the others are expected pieces.
    """

    quantity: int
    enough: float
    sold: float
    left: float
    missed: float


def critical_ratio(*, missed: int, carried: int) -> float:
    """Find the service level that balances a missed sale against a piece carried for nothing.

    Both costs in minor units, per piece. Raises ValueError when carrying costs nothing (no
    quantity would be too large) or a cost is negative.
    """
    if missed < 0 or carried <= 0:
        raise ValueError(f"A missed sale costs 0 or more, a piece too many more: {missed, carried}")
    return missed / (missed + carried)


def level_of(*, missed: int, carried: int) -> int:
    """Return the service level that two costs ask for, in whole weekends of a hundred, 1 to 99.

    Refuses (ValueError) what `critical_ratio` does.
    """
    ppm = round(critical_ratio(missed=missed, carried=carried) * MILLION)
    return min(99, max(1, half_up(ppm, MILLION // 100)))


def quantity_for(demand: Demand, service_level: float) -> int:
    """Find the smallest quantity that is enough with at least this probability.

    `service_level` is the critical ratio or the potter's own wish, 0 up to but not 1. Level 0 is
    met by no piece at all.
    """
    return smallest_count(demand.at_most, service_level)


def outlook(demand: Demand, quantity: int) -> Outlook:
    """Expect this of `quantity` pieces: E[min(D, q)] is the sum of Pr(D >= k) for k = 1..q."""
    if quantity < 0:
        raise ValueError(f"A quantity is not negative: {quantity}.")
    sold = sum(demand.at_least(count) for count in range(1, quantity + 1))
    return Outlook(
        quantity=quantity,
        enough=demand.at_most(quantity),
        sold=sold,
        left=quantity - sold,
        missed=max(demand.mean - sold, 0.0),
    )
