"""Matching a card statement's lines to card sales: by amount and nearest time. Pure.

Amounts are minor units, a refund is below zero on both sides. Three steps, each on what the one
before left over:

1. One line to one sale of the same amount. Where several have it, as many as can be are paired,
   and so that all gaps together are least (an assignment problem, solved by SciPy).
2. One line to several sales, or one sale to several lines (a payment that was split): only where
   exactly one set of two or three of the day comes to the amount.
3. One line to all sales of a day that are left (a batch that was paid out as one).

What can't be told for certain is left over, and shown: a person decides.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from itertools import combinations

DAY_MINUTES = 24 * 60
# A line without a time matches any time of its day, but a sale at a known time is nearer.
UNTIMED = DAY_MINUTES // 2
MOST_APART = 3 * DAY_MINUTES  # statements name the day of booking, which may come after a weekend
MOST_IN_SEARCH = 60


@dataclass(frozen=True, slots=True)
class Charge:
    """A card sale or a line of a statement: its id, amount, day, and its time where known."""

    id: int
    amount: int
    day: date
    at: datetime | None = None


class How(StrEnum):
    """What a match rests on."""

    ALONE = "alone"
    NEAREST = "nearest"
    SPLIT = "split"
    BATCH = "batch"
    HAND = "hand"


@dataclass(frozen=True, slots=True)
class Match:
    """Lines and sales that belong together; their amounts are equal in sum."""

    lines: tuple[int, ...]
    sales: tuple[int, ...]
    how: How
    minutes: int | None = None


@dataclass(frozen=True, slots=True)
class Matching:
    """All matches, and what is left on either side."""

    matches: tuple[Match, ...]
    lines_left: tuple[int, ...]
    sales_left: tuple[int, ...]


def match(lines: Sequence[Charge], sales: Sequence[Charge]) -> Matching:
    """Match a statement's lines to sales; no line and no sale is used twice."""
    matches = _one_to_one(lines, sales)
    lines, sales = _left(lines, matches, "lines"), _left(sales, matches, "sales")
    matches += _sums(lines, sales, lambda one, many: Match((one,), many, How.SPLIT))
    lines, sales = _left(lines, matches, "lines"), _left(sales, matches, "sales")
    matches += _sums(sales, lines, lambda one, many: Match(many, (one,), How.SPLIT))
    lines, sales = _left(lines, matches, "lines"), _left(sales, matches, "sales")
    matches += _batches(lines, sales)
    lines, sales = _left(lines, matches, "lines"), _left(sales, matches, "sales")
    return Matching(
        tuple(matches), tuple(each.id for each in lines), tuple(each.id for each in sales)
    )


def minutes_apart(one: Charge, other: Charge) -> int:
    """Return how far two charges are apart, in whole minutes; a whole day where one has no time."""
    if one.at is not None and other.at is not None:
        return round(abs((one.at - other.at).total_seconds()) / 60)
    return abs((one.day - other.day).days) * DAY_MINUTES + UNTIMED


def assign(gaps: Sequence[Sequence[int]]) -> list[tuple[int, int]]:
    """Return the pairs of row and column whose gaps together are least, as many as can be."""
    from scipy.optimize import linear_sum_assignment

    rows, columns = linear_sum_assignment(gaps)
    return [(int(row), int(column)) for row, column in zip(rows, columns, strict=True)]


def _one_to_one(lines: Sequence[Charge], sales: Sequence[Charge]) -> list[Match]:
    by_amount: dict[int, tuple[list[Charge], list[Charge]]] = defaultdict(lambda: ([], []))
    for side, charges in enumerate((lines, sales)):
        for charge in charges:
            by_amount[charge.amount][side].append(charge)
    found = []
    for ours, theirs in by_amount.values():
        if ours and theirs:
            how = How.ALONE if len(ours) == len(theirs) == 1 else How.NEAREST
            found += _pairs(ours, theirs, how)
    return found


def _pairs(lines: list[Charge], sales: list[Charge], how: How) -> list[Match]:
    """Pair charges of one amount; those too far apart in time stay alone."""
    gaps = [[minutes_apart(line, sale) for sale in sales] for line in lines]
    # One pair that is too far apart must cost more than all others together, so that as many
    # as can be are paired within the limit.
    too_far = (MOST_APART + 1) * (len(lines) + len(sales))
    costs = [[gap if gap <= MOST_APART else too_far for gap in row] for row in gaps]
    return [
        Match((lines[row].id,), (sales[column].id,), how, gaps[row][column])
        for row, column in assign(costs)
        if gaps[row][column] <= MOST_APART
    ]


def _sums(
    ones: Sequence[Charge],
    many: Sequence[Charge],
    made: Callable[[int, tuple[int, ...]], Match],
) -> list[Match]:
    """Match one charge with the only two or three of its day that come to its amount."""
    left = list(many)
    found = []
    for one in ones:
        near = [each for each in left if each.day == one.day]
        if len(near) > MOST_IN_SEARCH:
            continue
        answers = [
            chosen
            for size in (2, 3)
            for chosen in combinations(near, size)
            if sum(each.amount for each in chosen) == one.amount
        ]
        if len(answers) == 1:
            found.append(made(one.id, tuple(each.id for each in answers[0])))
            left = [each for each in left if each not in answers[0]]
    return found


def _batches(lines: Sequence[Charge], sales: Sequence[Charge]) -> list[Match]:
    """Match a line with all that is left of one day before it or its own, where only one fits."""
    by_day: dict[date, list[Charge]] = defaultdict(list)
    for sale in sales:
        by_day[sale.day].append(sale)
    found = []
    for line in lines:
        fitting = [
            day
            for day, left in by_day.items()
            if len(left) > 1
            and 0 <= (line.day - day).days * DAY_MINUTES <= MOST_APART
            and sum(sale.amount for sale in left) == line.amount
        ]
        if len(fitting) == 1:
            batch = by_day.pop(fitting[0])
            found.append(Match((line.id,), tuple(sale.id for sale in batch), How.BATCH))
    return found


def _left(charges: Sequence[Charge], matches: Sequence[Match], side: str) -> list[Charge]:
    used = {pk for each in matches for pk in getattr(each, side)}
    return [charge for charge in charges if charge.id not in used]
