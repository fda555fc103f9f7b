"""The prior that all ware share, fitted to published counts and to next to nothing."""

import random
from math import inf, lgamma, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.restock.prior import ANCHOR, Anchor, fit_prior, log_likelihood
from vendor.restock.rates import Gamma
from vendor.restock.records import Tally

from .published import BILLBOARD

LOOSE = Anchor(mean_spread=inf, shape_spread=inf)
"""No anchor at all: the plain maximum of the marginal likelihood."""


def billboard() -> list[Tally]:
    """One tally per person, a week's exposure each."""
    return [Tally(times, 1.0) for times, people in enumerate(BILLBOARD) for _ in range(people)]


def test_billboard_exposures() -> None:
    """Fader & Hardie's tutorials: r .969, alpha .218, log-likelihood -649.7."""
    people = billboard()
    fitted = fit_prior(people, LOOSE)
    assert (fitted.ware, fitted.sold, fitted.exposure) == (250, 1114, 250.0)
    assert fitted.gamma.shape == pytest.approx(0.969, abs=5e-4)
    assert fitted.gamma.rate == pytest.approx(0.218, abs=5e-4)
    factorials = sum(lgamma(each.sold + 1) for each in people)
    assert log_likelihood(people, fitted.gamma) - factorials == pytest.approx(-649.7, abs=0.05)


def test_the_anchor_hardly_shows_when_there_is_much_to_see() -> None:
    """With 250 counts the anchored fit is within a part in a hundred of the plain one."""
    anchored, plain = fit_prior(billboard()).gamma, fit_prior(billboard(), LOOSE).gamma
    assert anchored.shape == pytest.approx(plain.shape, rel=0.01)
    assert anchored.mean == pytest.approx(plain.mean, rel=0.01)


def test_without_any_ware_the_prior_is_the_anchor() -> None:
    """No ware at all, or none that was ever on the stall."""
    for nothing in ([], [Tally(), Tally()]):
        fitted = fit_prior(nothing)
        assert fitted.gamma == ANCHOR.gamma == Gamma(1, 0.5)
        assert (fitted.ware, fitted.sold, fitted.exposure) == (0, 0, 0.0)


def test_one_ware_moves_the_prior_some_of_the_way() -> None:
    """Ten sold in two weekends: between the anchor's 2 and the ware's 5."""
    fitted = fit_prior([Tally(10, 2.0)]).gamma
    assert 2 < fitted.mean < 5
    assert 0.5 < fitted.shape < 3


def test_no_sales_at_all_give_a_low_rate_that_is_not_zero() -> None:
    """Forty ware, two weekends, none sold: a few hundredths of a piece, never nothing."""
    few, many = fit_prior([Tally(0, 2.0)] * 4).gamma, fit_prior([Tally(0, 2.0)] * 40).gamma
    assert 0 < many.mean < few.mean < ANCHOR.mean
    assert many.mean < 0.1


def test_ware_that_all_sold_alike_keep_some_doubt() -> None:
    """Ten of each in two weekends: mean 5, ever surer with more ware, never endlessly sure."""
    shapes = []
    for ware in (2, 5, 40, 500):
        fitted = fit_prior([Tally(10, 2.0)] * ware).gamma
        shapes.append(fitted.shape)
    assert fitted.mean == pytest.approx(5, rel=0.01)
    assert shapes == sorted(shapes)
    assert 1 < shapes[0] < 10
    assert shapes[-1] < 1000


def test_a_best_seller_beyond_all_measure_does_no_harm() -> None:
    """A thousand of each of three ware: the search still ends at a sane place."""
    fitted = fit_prior([Tally(1000, 2.0)] * 3).gamma
    assert 300 < fitted.mean < 510


def test_the_fit_is_the_highest_point_around() -> None:
    """No step of a hundredth away from the plain fit has a higher likelihood."""
    people = billboard()
    best = fit_prior(people, LOOSE).gamma
    height = log_likelihood(people, best)
    for shape in (0.99, 1, 1.01):
        for rate in (0.99, 1, 1.01):
            there = Gamma(best.shape * shape, best.rate * rate)
            assert log_likelihood(people, there) <= height + 1e-6


def test_a_sell_out_of_unknown_hour_lifts_the_prior() -> None:
    """Twenty ware told as sold out mean more demand than the same sales told as all."""
    plain = fit_prior([Tally(8, 2.0)] * 20).gamma
    told = fit_prior([Tally(3, 1.0, ((5, 1.0),))] * 20).gamma
    assert told.mean > plain.mean * 1.02


def test_the_likelihood_of_a_sell_out_is_that_of_its_tail() -> None:
    """One ware, one weekend of unknown hour: the chance of at least so many, nothing else."""
    prior = Gamma(4, 1)
    told = log_likelihood([Tally(0, 0.0, ((5, 1.0),))], prior)
    assert told == pytest.approx(log(prior.predict(1).at_least(5)))


def test_an_anchor_below_nothing_is_refused() -> None:
    """All four numbers are above 0."""
    with pytest.raises(ValueError, match="above 0"):
        Anchor(mean=0)


tallies = st.lists(
    st.builds(
        Tally,
        st.integers(0, 200),
        st.floats(0.1, 5),
        st.lists(st.tuples(st.integers(1, 60), st.floats(0.1, 2)), max_size=3).map(
            lambda pairs: tuple(sorted(pairs, reverse=True))
        ),
    ),
    max_size=12,
)


@given(tallies, st.randoms())
def test_any_season_has_a_prior_whatever_its_order(
    season: list[Tally], chance: random.Random
) -> None:
    """Never a failure, always a proper prior, the same for the same ware in another order."""
    fitted = fit_prior(season).gamma
    assert 0 < fitted.shape < 1e4
    assert 0 < fitted.mean < 1e5
    mixed = season[:]
    chance.shuffle(mixed)
    again = fit_prior(mixed).gamma
    assert again.mean == pytest.approx(fitted.mean, rel=1e-4)
    assert again.shape == pytest.approx(fitted.shape, rel=1e-3)
    assert fit_prior(season).gamma == fitted
