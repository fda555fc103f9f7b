"""Matching a card statement's lines to card sales: by amount and nearest time. Pure.

Amounts are minor units, a refund is below zero on both sides. Three steps, each on what the one
before left over:

1. One line to one sale of the same amount. Where several have it, as many as can be are paired,
   and so that all gaps together are least (an assignment problem, solved by SciPy).
2. One line to several sales, or one sale to several lines (a payment that was split): only where
   exactly one set of two or three of the day comes to the amount, and none of them is wanted by
   another.
3. One line to all sales that are left of a day, or of days on end (a batch that was paid out as
   one): only where exactly one such run comes to the amount, and no other line wants it.

What can't be told for certain is left over, and shown: a person decides.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from itertools import chain, combinations_with_replacement

DAY_MINUTES = 24 * 60
# A line without a time matches any time of its day, but a sale at a known time is nearer.
UNTIMED = DAY_MINUTES // 2
MOST_APART = 3 * DAY_MINUTES  # statements name the day of booking, which may come after a weekend
MOST_IN_SEARCH = 200


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


@dataclass(frozen=True, slots=True)
class Answer:
    """Charges that come to what is asked; not `is_one`: only some of them, and others as well."""

    members: tuple[int, ...]
    is_one: bool = True


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
    by_day = _by_day(many)
    answers = {
        one.id: _sets(by_day[one.day], one.amount)
        for one in ones
        if one.day in by_day and len(by_day[one.day]) <= MOST_IN_SEARCH
    }
    return [made(one, chosen) for one, chosen in _undisputed(answers).items()]


def _sets(near: Sequence[Charge], amount: int) -> list[Answer]:
    """Return the sets of two or three charges that come to an amount, those alike as one."""
    places: dict[int, list[int]] = defaultdict(list)
    for place, charge in enumerate(near):
        places[charge.amount].append(place)
    found = []
    for first, second in combinations_with_replacement(sorted(places), 2):
        rest = amount - first - second
        if rest == 0:
            found.append(Counter((first, second)))
        if rest >= second and rest in places:
            found.append(Counter((first, second, rest)))
    return [
        Answer(
            tuple(near[place].id for place in sorted(chain(*(places[each] for each in amounts)))),
            is_one=all(len(places[each]) == times for each, times in amounts.items()),
        )
        for amounts in found
        if all(len(places[each]) >= times for each, times in amounts.items())
    ]


def _batches(lines: Sequence[Charge], sales: Sequence[Charge]) -> list[Match]:
    """Match a line with all that is left of some days on end before it, where only one run fits."""
    by_day = _by_day(sales)
    days = sorted(by_day)
    runs = [days[first : last + 1] for last in range(len(days)) for first in range(last + 1)]
    answers = {
        line.id: [
            Answer(tuple(sale.id for day in run for sale in by_day[day]))
            for run in runs
            if _paid_out(run, line.day)
            and sum(len(by_day[day]) for day in run) > 1
            and sum(sale.amount for day in run for sale in by_day[day]) == line.amount
        ]
        for line in lines
    }
    return [Match((line,), batch, How.BATCH) for line, batch in _undisputed(answers).items()]


def _paid_out(run: Sequence[date], day: date) -> bool:
    """Whether days were paid out by a day: they are on end, and the last is not long ago."""
    on_end = (run[-1] - run[0]).days == len(run) - 1
    return on_end and 0 <= (day - run[-1]).days * DAY_MINUTES <= MOST_APART


def _undisputed(answers: dict[int, list[Answer]]) -> dict[int, tuple[int, ...]]:
    """Return the only answer of each, where nothing in it is in an answer of another.

    In whatever order they come: who is asked first has no right before the others.
    """
    wanted = Counter(
        member
        for found in answers.values()
        for member in {each for answer in found for each in answer.members}
    )
    return {
        one: found[0].members
        for one, found in answers.items()
        if len(found) == 1
        and found[0].is_one
        and all(wanted[member] == 1 for member in found[0].members)
    }


def _by_day(charges: Sequence[Charge]) -> dict[date, list[Charge]]:
    found: dict[date, list[Charge]] = defaultdict(list)
    for charge in charges:
        found[charge.day].append(charge)
    return found


def _left(charges: Sequence[Charge], matches: Sequence[Match], side: str) -> list[Charge]:
    used = {pk for each in matches for pk in getattr(each, side)}
    return [charge for charge in charges if charge.id not in used]
