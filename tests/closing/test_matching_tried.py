"""Sums and batches of a card statement, against every way of putting charges together."""

import datetime
import random
from collections.abc import Iterator, Sequence
from itertools import combinations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from vendor.closing.matching import Charge, How, match

SATURDAY = datetime.date(2026, 11, 21)
Told = tuple[int, int]  # an amount, and how many days after Saturday
Answers = dict[int, list[frozenset[int]]]
Matched = tuple[frozenset[int], frozenset[int], How]  # lines, sales

DAY = st.integers(0, 1)
some = st.tuples(st.integers(-3, 12).filter(bool), DAY)


@st.composite
def sides(draw: st.DrawFn) -> tuple[list[Told], list[Told]]:
    """Lines and sales of which many come to a sum of the others', and some to nothing."""
    many = draw(st.lists(some, min_size=2, max_size=7))
    ones = draw(st.lists(some, max_size=1))
    if draw(st.booleans()):
        days = draw(st.sampled_from([(0,), (1,), (0, 1)]))
        ones.append((sum(amount for amount, day in many if day in days), draw(DAY)))
    else:
        places = st.lists(st.sampled_from(range(len(many))), min_size=2, max_size=3, unique=True)
        for chosen in draw(st.lists(places, min_size=1, max_size=3)):
            ones.append((sum(many[place][0] for place in chosen), many[chosen[0]][1]))
    ones = [each for each in ones if each[0]]
    return (many, ones) if draw(st.integers(0, 2)) == 0 else (ones, many)


def charges(each: Sequence[Told], first: int = 0) -> list[Charge]:
    """Charges without a time, numbered from `first`."""
    return [
        Charge(n, amount, SATURDAY + datetime.timedelta(days=days))
        for n, (amount, days) in enumerate(each, start=first)
    ]


def ids(each: Sequence[Charge]) -> frozenset[int]:
    return frozenset(charge.id for charge in each)


def total(each: Sequence[Charge]) -> int:
    return sum(charge.amount for charge in each)


def matched(lines: Sequence[Charge], sales: Sequence[Charge]) -> set[Matched]:
    """What the matching makes of them."""
    found = match(lines, sales).matches
    return {(frozenset(each.lines), frozenset(each.sales), each.how) for each in found}


def left(
    lines: Sequence[Charge], sales: Sequence[Charge], found: set[Matched]
) -> tuple[list[Charge], list[Charge]]:
    """What no match has yet, of either side."""
    used = {pk for ours, theirs, _ in found for pk in ours | theirs}
    return [x for x in lines if x.id not in used], [x for x in sales if x.id not in used]


def undisputed(answers: Answers) -> Iterator[tuple[frozenset[int], frozenset[int]]]:
    """Each that has one answer alone, with nothing in it that any other might have."""
    for one, sets in answers.items():
        rest = [each for other, found in answers.items() if other != one for each in found]
        if len(sets) == 1 and not any(sets[0] & each for each in rest):
            yield frozenset({one}), sets[0]


def summed(ones: Sequence[Charge], many: Sequence[Charge]) -> Answers:
    """Try every two and every three of a day."""
    return {
        one.id: [
            ids(chosen)
            for size in (2, 3)
            for chosen in combinations([each for each in many if each.day == one.day], size)
            if total(chosen) == one.amount
        ]
        for one in ones
    }


def batched(lines: Sequence[Charge], sales: Sequence[Charge]) -> Answers:
    """Try all that is left of each day, and of both."""
    runs = [
        [each for each in sales if each.day in days]
        for size in (1, 2)
        for days in combinations(sorted({each.day for each in sales}), size)
    ]
    return {
        line.id: [
            ids(run)
            for run in runs
            if len(run) > 1
            and total(run) == line.amount
            and all(sale.day <= line.day for sale in run)
        ]
        for line in lines
    }


def tried(lines: Sequence[Charge], sales: Sequence[Charge], pairs: set[Matched]) -> set[Matched]:
    """Sums of sales, sums of lines, batches: each of what the one before, and the pairs, left."""
    ours, theirs = left(lines, sales, pairs)
    found = pairs | {(one, many, How.SPLIT) for one, many in undisputed(summed(ours, theirs))}
    ours, theirs = left(lines, sales, found)
    found |= {(many, one, How.SPLIT) for one, many in undisputed(summed(theirs, ours))}
    ours, theirs = left(lines, sales, found)
    return found | {(one, many, How.BATCH) for one, many in undisputed(batched(ours, theirs))}


@settings(max_examples=300)
@given(sides())
@example(([(8, 0), (15, 0)], [(7, 0), (5, 0), (1, 0), (10, 0), (6, 0), (6, 0), (4, 0)]))
def test_sums_and_batches_are_those_that_every_way_of_trying_finds(
    told: tuple[list[Told], list[Told]],
) -> None:
    """No match more and none less: one line to many sales, one sale to many lines, whole days."""
    lines, sales = charges(told[0]), charges(told[1], first=100)
    found = matched(lines, sales)
    pairs = {each for each in found if each[2] in (How.ALONE, How.NEAREST)}
    assert found == tried(lines, sales, pairs)


@given(sides(), st.randoms(use_true_random=False))
def test_sums_and_batches_are_the_same_in_any_order(
    told: tuple[list[Told], list[Told]], order: random.Random
) -> None:
    """By amount and day: of two that are alike, either may stand for the other."""
    lines, sales = charges(told[0]), charges(told[1], first=100)
    known = {each.id: (each.amount, each.day) for each in (*lines, *sales)}

    def sums() -> list[tuple[list[object], list[object], How]]:
        return sorted(
            (sorted(known[pk] for pk in one), sorted(known[pk] for pk in other), how)
            for one, other, how in matched(lines, sales)
            if how in (How.SPLIT, How.BATCH)
        )  # type: ignore[return-value]

    before = sums()
    order.shuffle(lines)
    order.shuffle(sales)
    assert sums() == before
