"""Seasons made from a written-down truth: what the estimates find again of it.

Customers come as Poisson processes; ware sells out. Every random number comes from fixed
generators, and the plain count of sales stands beside each check to show that it could fail.
"""

import random
from dataclasses import dataclass

import pytest

from vendor.restock.demand import estimate_season
from vendor.restock.exposure import Absence, OpenHours, hours_on_stall, open_hours
from vendor.restock.quantities import quantity_for
from vendor.restock.records import Ending, Record, tally

DAYS = [OpenHours(10, 17), OpenHours(35, 41)]
HOURS = open_hours(DAYS)
TRUE_SHAPE, TRUE_MEAN = 2.0, 4.0
WARE, WEEKENDS = 600, 3


def on_the_clock(hour: float) -> float:
    """Read the clock after so many open hours: the night between the days is skipped."""
    return hour + 10 if hour <= 7 else hour - 7 + 35


def weekend(
    chance: random.Random, number: int, rate: float, stock: int, *, crowd: float, told: bool
) -> Record:
    """One ware's weekend: customers at `rate` per ordinary weekend, while pieces last."""
    hour, sold = 0.0, 0
    while sold < stock:
        hour += chance.expovariate(rate * crowd / HOURS)
        if hour > HOURS:
            return Record(number, sold, hours_on_stall(DAYS), HOURS, crowd)
        sold += 1
    if not told:
        return Record(number, sold, HOURS, HOURS, crowd, Ending.SOLD_OUT_UNKNOWN)
    there = hours_on_stall(DAYS, [Absence(on_the_clock(hour))])
    return Record(number, sold, there, HOURS, crowd, Ending.SOLD_OUT)


@dataclass(frozen=True)
class Truth:
    """True rates by ware, and the records they led to."""

    rates: dict[int, float]
    records: dict[int, list[Record]]


def make(chance: random.Random, *, told: bool) -> Truth:
    """Make a season of many ware with scarce stock: about four in ten weekends end sold out."""
    rates = {w: chance.gammavariate(TRUE_SHAPE, TRUE_MEAN / TRUE_SHAPE) for w in range(WARE)}
    records = {
        ware: [
            weekend(chance, n, rate, chance.randint(2, 6), crowd=(0.8, 1.0, 1.4)[n], told=told)
            for n in range(WEEKENDS)
        ]
        for ware, rate in rates.items()
    }
    return Truth(rates, records)


def naive_mean(truth: Truth) -> float:
    """Sales per ordinary weekend, as if nothing had ever sold out."""
    each = [record for records in truth.records.values() for record in records]
    return sum(r.sold for r in each) / sum(r.crowd_factor for r in each)


def test_one_rate_is_found_again_through_sell_outs() -> None:
    """Pieces over exposure meet the true 5; plain counts fall short, dropped weekends more so."""
    chance = random.Random(53)
    each = [weekend(chance, 1, 5.0, 4, crowd=1.0, told=True) for _ in range(4000)]
    together = tally(each)
    naive = together.pieces / len(each)
    full = [record.sold for record in each if record.ending is Ending.LEFT_OVER]
    assert together.sold / together.exposure == pytest.approx(5, rel=0.03)
    assert naive < 0.8 * 5
    assert sum(full) / len(full) < naive


def test_the_true_prior_is_found_again_with_known_hours() -> None:
    """Mean 4 and shape 2 of the truth, where the plain count says less than three quarters."""
    truth = make(random.Random(59), told=True)
    prior = estimate_season(truth.records).prior.gamma
    assert prior.mean == pytest.approx(TRUE_MEAN, rel=0.08)
    assert prior.shape == pytest.approx(TRUE_SHAPE, rel=0.2)
    assert naive_mean(truth) < 0.75 * TRUE_MEAN


def test_the_true_prior_is_found_again_with_unknown_hours() -> None:
    """The same when nobody knows when anything sold out, with a little more room for error."""
    truth = make(random.Random(61), told=False)
    prior = estimate_season(truth.records).prior.gamma
    assert prior.mean == pytest.approx(TRUE_MEAN, rel=0.1)
    assert prior.shape == pytest.approx(TRUE_SHAPE, rel=0.25)
    assert naive_mean(truth) < 0.75 * TRUE_MEAN


@pytest.mark.parametrize("told", [True, False])
def test_the_next_weekend_falls_where_it_was_said_to(told: bool) -> None:
    """What is brought for 80 % is enough for 80 % of ware, or a whole piece's worth more."""
    chance = random.Random(67)
    truth = make(chance, told=told)
    season = estimate_season(truth.records)
    enough = inside = 0
    for ware, rate in truth.rates.items():
        asked = weekend(chance, 4, rate, 10**6, crowd=1.2, told=True).sold
        demand = season.estimates[ware].weekend(1.2)
        enough += asked <= quantity_for(demand, 0.8)
        low, high = demand.interval(0.8)
        inside += low <= asked <= high
    assert 0.78 < enough / WARE < 0.92
    assert 0.78 < inside / WARE < 0.95


def test_estimates_are_nearer_the_truth_than_plain_counts() -> None:
    """Mean squared error over all ware, beside each ware's sales per weekend."""
    truth = make(random.Random(71), told=True)
    season = estimate_season(truth.records)
    ours = plain = 0.0
    for ware, rate in truth.rates.items():
        records = truth.records[ware]
        counted = sum(r.sold for r in records) / sum(r.crowd_factor for r in records)
        ours += (season.estimates[ware].rate.mean - rate) ** 2
        plain += (counted - rate) ** 2
    assert ours < 0.6 * plain
