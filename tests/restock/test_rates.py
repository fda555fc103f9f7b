"""The Gamma of a rate and the negative binomial of a weekend, against published figures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.restock.rates import TOLERANCE, Gamma, NegativeBinomial, smallest_count

from .published import Table, poisson


def test_bayes_rules_chapter_5_posterior() -> None:
    """Bayes Rules!, ch. 5: Gamma(10, 2) and the counts 6, 2, 2, 1 give Gamma(21, 6)."""
    prior = Gamma(10, 2)
    for count in (6, 2, 2, 1):
        prior = prior.after(count, 1)
    assert prior == Gamma(21, 6)
    assert prior.mean == pytest.approx(3.5)
    assert prior.sd == pytest.approx(0.7638, abs=5e-5)
    assert prior.interval(0.95) == pytest.approx((2.1666, 5.1481), abs=5e-5)


def test_its_predictive_distribution() -> None:
    """The same example's next count: NB(21, 6/7); figures worked out with scipy.stats."""
    following = Gamma(21, 6).predict(1)
    chances = (
        ".039275 .117825 .185154 .202788 .173818 .124156 .076858 .042351 .021175 .009747 .004177 "
        ".001682 .000641"
    )
    expected = [float(each) for each in chances.split()]
    assert [following.exactly(k) for k in range(13)] == pytest.approx(expected, abs=1e-6)
    assert following.mean == pytest.approx(3.5)
    assert following.variance == pytest.approx(4.08333, abs=1e-5)


@pytest.mark.parametrize(
    ("probability", "count"),
    [(0.5, 3), (0.6, 4), (0.7, 4), (0.75, 5), (0.8, 5), (0.85, 6), (0.9, 6), (0.95, 7), (0.99, 9)],
)
def test_its_predictive_quantiles(probability: float, count: int) -> None:
    """Quantiles of NB(21, 6/7), worked out with scipy.stats."""
    assert Gamma(21, 6).predict(1).quantile(probability) == count


def test_a_rare_count() -> None:
    """CRAN glmbayes' vignette: Gamma(3, 4), nine counts summing to 3, gives Gamma(6, 13)."""
    posterior = Gamma(3, 4).after(3, 9)
    assert posterior == Gamma(6, 13)
    assert posterior.mean == pytest.approx(0.4615, abs=5e-5)
    assert posterior.predict(1).exactly(0) == pytest.approx(0.6410, abs=5e-5)


def test_airline_accidents() -> None:
    """Bayesian Data Analysis, ex. 2.13: 238 accidents in ten years, flat prior, next year 14-34.

    The data are the book's; its interval is from memory and agrees with ours.
    """
    posterior = Gamma(0, 0)
    for accidents in (24, 25, 31, 31, 22, 21, 26, 20, 16, 22):
        posterior = posterior.after(accidents, 1)
    assert posterior == Gamma(238, 10)
    assert posterior.mean == pytest.approx(23.8)
    assert posterior.predict(1).interval(0.95) == (14, 34)


def test_asthma_rates_with_exposure() -> None:
    """Bayesian Data Analysis, section 2.6: exposures of 2 and of 20 (figures from memory)."""
    prior = Gamma(3, 5)
    short, long = prior.after(3, 2), prior.after(30, 20)
    assert (short, long) == (Gamma(6, 7), Gamma(33, 25))
    assert 1 - short.at_most(1) == pytest.approx(0.30, abs=5e-3)
    assert 1 - long.at_most(1) == pytest.approx(0.93, abs=5e-3)
    assert long.mean == pytest.approx(1.32)


def test_several_weekends_share_one_rate() -> None:
    """A rate known for sure: five weekends of Poisson(3) ask for Poisson(15) in all."""
    known = Gamma(3e7, 1e7).predict(5)
    together = poisson(15)
    for probability in (0.1, 0.5, 0.8, 0.95, 0.99):
        assert known.quantile(probability) == smallest_count(together.at_most, probability)


def test_no_exposure_asks_for_nothing() -> None:
    """A weekend in which the ware isn't out, and a ware that surely never sells."""
    for nothing in (Gamma(2, 1).predict(0), NegativeBinomial(0, 0.5)):
        assert nothing.mean == 0
        assert [nothing.exactly(k) for k in (-1, 0, 1)] == [0, 1, 0]
        assert [nothing.at_most(k) for k in (-1, 0, 1)] == [0, 1, 1]
        assert [nothing.at_least(k) for k in (-1, 0, 1)] == [1, 1, 0]
        assert nothing.quantile(0.99) == 0


def test_a_probability_met_exactly_asks_for_no_extra_piece() -> None:
    """Gamma(1, 1) and one weekend: the probabilities are 1/2, 1/4, 1/8 ..., reached on the dot."""
    halves = Gamma(1, 1).predict(1)
    assert [halves.quantile(1 - 0.5**k) for k in range(1, 12)] == list(range(11))
    assert halves.quantile(0.5 + 10 * TOLERANCE) == 1
    # 0.1 + 0.7 is a hair below 0.8 in floating point.
    assert smallest_count(Table({0: 0.1, 1: 0.7, 2: 0.2}).at_most, 0.8) == 1


@pytest.mark.parametrize("probability", [-0.1, 1.0, 1.5, float("nan")])
def test_certainty_has_no_quantity(probability: float) -> None:
    """Only probabilities from 0 up to, but not, 1."""
    with pytest.raises(ValueError, match="probability"):
        Gamma(2, 1).predict(1).quantile(probability)


def test_a_distribution_that_never_gets_there_is_refused() -> None:
    """The search ends when a distribution does not add up."""
    with pytest.raises(ValueError, match="No count"):
        smallest_count(lambda _: 0.5, 0.9)


def test_impossible_numbers_are_refused() -> None:
    """Negative numbers, and what a flat prior cannot say."""
    for make in (
        lambda: Gamma(-1, 1),
        lambda: Gamma(float("nan"), 1),
        lambda: Gamma(1, float("inf")),
        lambda: Gamma(1, 1).after(-1, 1),
        lambda: Gamma(1, 1).after(1, -1),
        lambda: Gamma(1, 1).predict(-1),
        lambda: Gamma(0, 0).predict(1),
        lambda: Gamma(0, 1).after_at_least(1, 1),
        lambda: NegativeBinomial(1, 0),
    ):
        with pytest.raises(ValueError, match=r"\w"):
            make()


shapes = st.floats(0.01, 1e3)
gammas = st.builds(Gamma, shapes, st.floats(0.01, 1e3))


@given(gammas, st.floats(0.01, 20), st.integers(0, 60))
def test_the_parts_of_a_distribution_agree(rate: Gamma, exposure: float, count: int) -> None:
    """At most k and at least k + 1 are everything; a point is a step of the sum."""
    demand = rate.predict(exposure)
    assert demand.at_most(count) + demand.at_least(count + 1) == pytest.approx(1)
    step = demand.at_most(count) - demand.at_most(count - 1)
    assert step == pytest.approx(demand.exactly(count), abs=1e-10)
    assert demand.mean == pytest.approx(rate.mean * exposure)


@given(gammas, st.floats(0.01, 20), st.floats(0.001, 0.999))
def test_a_quantile_is_the_smallest_that_reaches(
    rate: Gamma, exposure: float, probability: float
) -> None:
    """It reaches the probability; one piece fewer does not."""
    demand = rate.predict(exposure)
    count = demand.quantile(probability)
    assert demand.at_most(count) >= probability - TOLERANCE
    assert demand.at_most(count - 1) < probability


@given(gammas, st.integers(0, 100), st.floats(0.01, 10))
def test_the_mean_moves_between_belief_and_what_was_seen(
    prior: Gamma, sold: int, exposure: float
) -> None:
    """A posterior mean lies between the prior's mean and the observed rate."""
    low, high = sorted((prior.mean, sold / exposure))
    assert low * (1 - 1e-12) <= prior.after(sold, exposure).mean <= high * (1 + 1e-12)


@given(gammas, st.integers(0, 50), st.floats(0, 10), st.floats(0, 10))
def test_the_same_sales_in_a_longer_time_never_raise_the_mean(
    prior: Gamma, sold: int, exposure: float, longer: float
) -> None:
    """More exposure with the same sales: never a higher mean."""
    assert prior.after(sold, exposure + longer).mean <= prior.after(sold, exposure).mean
