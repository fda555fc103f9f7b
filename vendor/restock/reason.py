"""Why a ware's estimate is what it is: as data, and as one line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vendor.restock.prior import FittedPrior
from vendor.restock.records import Ending, Record, tally


@dataclass(frozen=True, slots=True)
class SoldOut:
    """It sold out: `sold` pieces in `hours` of a weekend's `open_hours`."""

    weekend: int
    sold: int
    hours: float
    open_hours: float


@dataclass(frozen=True, slots=True)
class SoldOutUnknown:
    """It sold out in that weekend, nobody knows when: more than `sold` may have been wanted."""

    weekend: int
    sold: int


@dataclass(frozen=True, slots=True)
class Steady:
    """Its own weekends say more than the other ware do; it never sold out."""

    sold: int
    weekends: int


@dataclass(frozen=True, slots=True)
class LittleSeen:
    """It was out too short for its own sales to outweigh those of the `others` other ware."""

    sold: int
    weekends: int
    others: int


@dataclass(frozen=True, slots=True)
class NoneSold:
    """It was out, and none was sold."""

    weekends: int


@dataclass(frozen=True, slots=True)
class NewWare:
    """It was never out: the estimate is that of the `others` ware seen, 0 for a first fair."""

    others: int


Reason = SoldOut | SoldOutUnknown | Steady | LittleSeen | NoneSold | NewWare


def reason_for(records: Sequence[Record], prior: FittedPrior) -> Reason:
    """Pick the one thing that best explains a ware's estimate.

    The latest sell-out comes first, for it is what lifts an estimate above the plain count of
    sales. `prior` is the one the estimate was made with; it outweighs the ware's own weekends
    while its worth in weekends (its rate) exceeds them.
    """
    seen = tally(records)
    if seen.watched <= 0:
        return NewWare(prior.ware)
    out = [each for each in records if each.exposure > 0]
    for record in sorted(out, key=lambda each: each.weekend, reverse=True):
        if record.ending is Ending.SOLD_OUT and record.sold:
            return SoldOut(record.weekend, record.sold, record.hours, record.open_hours)
        if record.ending is Ending.SOLD_OUT_UNKNOWN and record.sold:
            return SoldOutUnknown(record.weekend, record.sold)
    weekends = len({each.weekend for each in out})
    if not seen.pieces:
        return NoneSold(weekends)
    if seen.watched < prior.gamma.rate:
        return LittleSeen(seen.pieces, weekends, max(prior.ware - 1, 0))
    return Steady(seen.pieces, weekends)


def sentence(reason: Reason) -> str:
    """Say the reason in one line for the potter."""
    match reason:
        case SoldOut(weekend, sold, hours, open_hours):
            time = f"{_number(hours)} of {_number(open_hours)} open hours"
            return f"Sold out in weekend {weekend}: {_pieces(sold)} gone in {time}."
        case SoldOutUnknown(weekend, sold):
            return f"Sold out in weekend {weekend}, hour unknown: at least {sold} wanted."
        case Steady(sold, weekends):
            return f"Steady: {_pieces(sold)} sold in {_weekends(weekends)}, never sold out."
        case LittleSeen(sold, weekends, others):
            rest = f"the {others} other ware" if others else "a careful start"
            return f"{_pieces(sold)} sold in {_weekends(weekends)}; leans on {rest}."
        case NoneSold(weekends):
            return f"None sold in {_weekends(weekends)}."
        case NewWare(0):
            return "New here, and a first fair: a careful start until there are sales."
        case NewWare(others):
            return f"New here: reckoned from the {others} ware already seen."


def _pieces(count: int) -> str:
    return "1 piece" if count == 1 else f"{count} pieces"


def _weekends(count: int) -> str:
    return "1 weekend" if count == 1 else f"{count} weekends"


def _number(hours: float) -> str:
    """Write hours to one decimal, whole ones without."""
    return f"{hours:.1f}".removesuffix(".0")
