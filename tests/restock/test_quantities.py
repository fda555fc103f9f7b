"""How many to bring of one ware, against published newsvendor figures."""

from math import erf, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.restock.quantities import (
    Demand,
    critical_ratio,
    level_of,
    outlook,
    quantity_for,
)
from vendor.restock.rates import Gamma, smallest_count

from .published import NEWSSTAND, Table, observed, poisson


def expected_cost(demand: Demand, quantity: int, *, missed: int, carried: int) -> float:
    """Average the cost of a quantity: carried * E[left] + missed * E[missed], minor units."""
    expected = outlook(demand, quantity)
    return carried * expected.left + missed * expected.missed


# Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., as instances of stockpyl 1.0.2:
# carrying cost h, missing cost p, demand, quantity, cost. Money in hundredths where it is cents.
SNYDER_SHEN = [
    pytest.param(18, 70, poisson(50), 56, 179.7235211809178, id="Poisson, mean 50"),
    pytest.param(200, 270, poisson(18), 19, 786.0884409351079, id="problem 4.8(a)"),
    pytest.param(1, 4, poisson(6), 8, 3.570106945770941, id="example 4.7"),
    pytest.param(
        500_000,
        1_000_000,
        Table({1: 0.25, 2: 0.05, 3: 0.1, 4: 0.2, 5: 0.15, 6: 0.1, 7: 0.1, 8: 0.05}),
        5,
        1_225_000,
        id="problem 4.7(b)",
    ),
]


@pytest.mark.parametrize(("carried", "missed", "demand", "quantity", "cost"), SNYDER_SHEN)
def test_snyder_and_shen(
    carried: int, missed: int, demand: Demand, quantity: int, cost: float
) -> None:
    """Their quantities and their costs, and no neighbour is cheaper."""
    assert quantity_for(demand, critical_ratio(missed=missed, carried=carried)) == quantity
    costs = [
        expected_cost(demand, each, missed=missed, carried=carried)
        for each in range(quantity - 2, quantity + 3)
    ]
    assert costs[2] == pytest.approx(cost)
    assert min(costs) == costs[2]


def test_snyder_and_shen_a_forced_quantity() -> None:
    """Example 4.7: five instead of eight pieces cost 6.590296024616343."""
    assert expected_cost(poisson(6), 5, missed=4, carried=1) == pytest.approx(6.590296024616343)


@pytest.mark.parametrize(
    ("missed", "carried", "mean", "sd", "level"),
    [
        pytest.param(70, 18, 50.0, 8.0, 56.60395592743389, id="example 4.3"),
        pytest.param(18, 2, 120.0, 10.0, 132.815515655446, id="stockpyl's readme"),
        pytest.param(70, 18, 250.0, 8.0 * sqrt(5), 264.76689437415484, id="example 4.4, 5 periods"),
    ],
)
def test_snyder_and_shen_normal_demand_in_whole_pieces(
    missed: int, carried: int, mean: float, sd: float, level: float
) -> None:
    """Their level for normal demand, rounded up to the whole piece that first reaches it."""
    ratio = critical_ratio(missed=missed, carried=carried)
    found = smallest_count(lambda k: (1 + erf((k - mean) / sd / sqrt(2))) / 2, ratio)
    assert found == int(level) + 1


def test_nahmias_newsstand() -> None:
    """52 weeks of demand: mean 11.73, and 15 copies at a ratio of .7692.

    The weeks and the mean are published; the costs (buy 25, sell 75, return 10) from memory.
    """
    weeks = observed(NEWSSTAND)
    assert len(NEWSSTAND) == 52
    assert weeks.mean == pytest.approx(11.73, abs=5e-3)
    ratio = critical_ratio(missed=75 - 25, carried=25 - 10)
    assert ratio == pytest.approx(0.7692, abs=5e-5)
    assert quantity_for(weeks, ratio) == 15


@pytest.mark.parametrize(
    ("missed", "carried", "ratio"), [(60, 30, 0.667), (480, 60, 0.889), (70, 20, 0.7778), (0, 5, 0)]
)
def test_the_ratio_is_underage_over_both(missed: int, carried: int, ratio: float) -> None:
    """Not overage over both: 60 to 30 is .667, 480 to 60 is .889, 70 to 20 is .778."""
    assert critical_ratio(missed=missed, carried=carried) == pytest.approx(ratio, abs=5e-4)


@pytest.mark.parametrize(
    ("missed", "carried", "level"),
    [(60, 30, 67), (480, 60, 89), (70, 20, 78), (0, 5, 1), (10**9, 1, 99), (1, 7, 13)],
)
def test_the_level_is_the_ratio_in_whole_weekends_of_a_hundred(
    missed: int, carried: int, level: int
) -> None:
    """Half up (12.5 is 13), and never a level that nothing or everything would reach."""
    assert level_of(missed=missed, carried=carried) == level


@pytest.mark.parametrize(("missed", "carried"), [(10, 0), (-1, 5), (5, -1), (0, 0)])
def test_costs_that_set_no_quantity_are_refused(missed: int, carried: int) -> None:
    """Were carrying free, no quantity would be too large."""
    with pytest.raises(ValueError, match="costs"):
        critical_ratio(missed=missed, carried=carried)


def test_the_outlook_of_a_quantity() -> None:
    """Problem 4.7(b)'s demand, three pieces: worked by hand from the table."""
    table = Table({1: 0.25, 2: 0.05, 3: 0.1, 4: 0.2, 5: 0.15, 6: 0.1, 7: 0.1, 8: 0.05})
    expected = outlook(table, 3)
    assert expected.enough == pytest.approx(0.4)
    # One, two and three or more: 1 x .25 + 2 x .05 + 3 x .70.
    assert expected.sold == pytest.approx(2.45)
    assert expected.left == pytest.approx(0.55)
    # The mean is 3.9.
    assert expected.missed == pytest.approx(1.45)


def test_no_pieces_sell_none() -> None:
    """An empty stall misses all that is asked for; fewer than none there can't be."""
    demand = Gamma(21, 6).predict(1)
    nothing = outlook(demand, 0)
    assert (nothing.sold, nothing.left) == (0, 0)
    assert nothing.missed == pytest.approx(3.5)
    with pytest.raises(ValueError, match="negative"):
        outlook(demand, -1)


rates = st.builds(Gamma, st.floats(0.1, 100), st.floats(0.1, 50))
levels = st.floats(0, 0.995)


@given(rates, st.integers(0, 60), st.integers(0, 60), st.floats(0.1, 5), levels)
def test_more_sales_never_mean_fewer_pieces(
    prior: Gamma, sold: int, more: int, exposure: float, level: float
) -> None:
    """In the same time, more sales: never a lower quantity."""
    fewer = quantity_for(prior.after(sold, exposure).predict(1), level)
    assert quantity_for(prior.after(sold + more, exposure).predict(1), level) >= fewer


@given(rates, levels, levels, st.floats(0, 5))
def test_a_higher_service_level_never_means_fewer_pieces(
    rate: Gamma, one: float, other: float, exposure: float
) -> None:
    """Wanting to be surer: never a lower quantity."""
    low, high = sorted((one, other))
    demand = rate.predict(exposure)
    assert quantity_for(demand, low) <= quantity_for(demand, high)


@given(rates, levels, st.floats(0, 5), st.floats(0, 5))
def test_a_longer_or_busier_weekend_never_means_fewer_pieces(
    rate: Gamma, level: float, exposure: float, more: float
) -> None:
    """More exposure to come: never a lower quantity."""
    shorter = quantity_for(rate.predict(exposure), level)
    assert quantity_for(rate.predict(exposure + more), level) >= shorter


@given(st.builds(Gamma, st.floats(0.1, 20), st.floats(0.5, 10)), st.integers(1, 99))
def test_the_quantity_is_the_cheapest_there_is(rate: Gamma, missed: int) -> None:
    """No other quantity up to far in the tail costs less on average."""
    demand = rate.predict(1)
    carried = 100 - missed
    best = quantity_for(demand, critical_ratio(missed=missed, carried=carried))
    cost = expected_cost(demand, best, missed=missed, carried=carried)
    for other in (*range(max(best - 5, 0), best + 6), 2 * best + 10):
        assert expected_cost(demand, other, missed=missed, carried=carried) >= cost - 1e-8


@given(rates, st.integers(0, 80))
def test_pieces_are_sold_left_or_missed(rate: Gamma, quantity: int) -> None:
    """Sold and left make the quantity, sold and missed the demand."""
    demand = rate.predict(1)
    expected = outlook(demand, quantity)
    assert expected.sold + expected.left == pytest.approx(quantity)
    assert expected.sold + expected.missed == pytest.approx(demand.mean, rel=1e-6, abs=1e-9)
    assert expected.left >= -1e-9
