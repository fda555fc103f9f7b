"""A season's busiest statement, drawn: many equal amounts, lines that miss, come twice, lag."""

import datetime
import random
from dataclasses import dataclass

from vendor.closing.matching import Charge

SATURDAY = datetime.date(2026, 11, 21)
OPENS = datetime.datetime.combine(SATURDAY, datetime.time(9), datetime.UTC)
AMOUNTS = (8_58, 19_31, 21_45, 36_47, 46_12, 52_55, 93_31)
LAG = datetime.timedelta(minutes=7)


@dataclass(frozen=True)
class Crowd:
    """Sales and the statement about them; line n is about sale n, doubles have higher ids."""

    sales: list[Charge]
    lines: list[Charge]
    missing: frozenset[int]
    doubled: frozenset[int]


def crowd(sales: int, *, missing: int = 20, doubled: int = 20, drawn: int = 2026) -> Crowd:
    """Draw sales over two days, seven amounts in all, and a statement whose clock goes late.

    `missing` lines are not in it, and `doubled` ones twice, so both sides have equally many.
    """
    chance = random.Random(drawn)
    ours = []
    for number in range(sales):
        day, minute = divmod(number * 2 * 540 // sales, 540)
        ours.append(charge(number, chance.choice(AMOUNTS), OPENS + _minutes(day, minute)))
    gone = chance.sample(range(sales), missing)
    twice = chance.sample(sorted(set(range(sales)) - set(gone)), doubled)
    theirs = [
        charge(n, sale.amount, _time(sale) + LAG + datetime.timedelta(seconds=chance.randrange(50)))
        for n, sale in enumerate(ours)
        if n not in gone
    ]
    theirs += [
        charge(sales + n, ours[n].amount, _time(ours[n]) + LAG + datetime.timedelta(minutes=1))
        for n in twice
    ]
    chance.shuffle(theirs)
    return Crowd(ours, theirs, frozenset(gone), frozenset(sales + n for n in twice))


def charge(pk: int, amount: int, at: datetime.datetime) -> Charge:
    """A charge at a time."""
    return Charge(pk, amount, at.date(), at)


def _minutes(day: int, minute: int) -> datetime.timedelta:
    return datetime.timedelta(days=day, minutes=minute)


def _time(sale: Charge) -> datetime.datetime:
    assert sale.at is not None
    return sale.at
