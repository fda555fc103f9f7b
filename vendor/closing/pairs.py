"""Differences that belong together: pieces rung up as another, and money that tells of pots. Pure.

A hint, never a correction: who closes the weekend decides.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

MOST_PIECES = 3
MOST_KINDS = 40


@dataclass(frozen=True, slots=True)
class Odd:
    """A ware and grade that differs: `net` pieces too many (below zero: missing), found included.

    `form`, `finish` and `grade` say what it could be mistaken for.
    """

    spot: Hashable
    form: int
    finish: int
    net: int
    grade: str = ""


@dataclass(frozen=True, slots=True)
class Swap:
    """So many pieces of one ware that were probably rung up as another."""

    missing: Hashable
    extra: Hashable
    quantity: int


def likely_swaps(odd: Sequence[Odd]) -> list[Swap]:
    """Pair what is missing with what is too many, of one form or of one finish and grade.

    One form first, since that is the likelier slip; within each, in the order given. No piece is
    used twice, and what finds no partner is left out.
    """
    left = {each.spot: each.net for each in odd}
    swaps = []
    for alike in (_same_form, _same_finish):
        for short in odd:
            for extra in odd:
                if not alike(short, extra) or left[short.spot] >= 0 or left[extra.spot] <= 0:
                    continue
                quantity = min(-left[short.spot], left[extra.spot])
                left[short.spot] += quantity
                left[extra.spot] -= quantity
                swaps.append(Swap(short.spot, extra.spot, quantity))
    return swaps


def _same_form(one: Odd, other: Odd) -> bool:
    return one.form == other.form


def _same_finish(one: Odd, other: Odd) -> bool:
    return one.finish == other.finish and one.grade == other.grade


@dataclass(frozen=True, slots=True)
class Priced:
    """A ware and grade of which pieces are missing, and what one costs."""

    spot: Hashable
    missing: int
    price: int


def paid_for(
    over: int, missing: Sequence[Priced], *, charged: Callable[[Sequence[int]], int] = sum
) -> list[dict[Hashable, int]]:
    """Return the sets of up to three missing pieces that cost just what the till is over.

    Amounts in minor units; `charged` is what a sale of lines with such amounts comes to. Several
    answers mean that the money can't tell which it was; none, that it tells nothing. With very
    many kinds missing nothing is searched: it would only guess.
    """
    if over <= 0 or len(missing) > MOST_KINDS:
        return []
    found = []
    for size in range(1, MOST_PIECES + 1):
        for chosen in combinations_with_replacement(missing, size):
            counts = {each.spot: chosen.count(each) for each in chosen}
            enough = all(counts[each.spot] <= each.missing for each in chosen)
            if enough and charged(_amounts(missing, counts)) == over:
                found.append(counts)
    return found


def _amounts(missing: Sequence[Priced], counts: dict[Hashable, int]) -> list[int]:
    """Return the amount of each line of a sale."""
    return [each.price * counts[each.spot] for each in missing if each.spot in counts]
