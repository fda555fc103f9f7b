"""Sell-outs whose hour nobody knows."""

from math import exp, lgamma, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import gammainc

from vendor.restock import censored
from vendor.restock.demand import learn
from vendor.restock.rates import Gamma
from vendor.restock.records import Tally

# Four full weeks with 3, 2, 4 and 1 asked for, three sold out with 5, 5 and 6 in stock.
FULL = Tally(3 + 2 + 4 + 1, 4.0)
WEEKS = Tally(FULL.sold, FULL.exposure, ((6, 1.0), (5, 1.0), (5, 1.0)))


def integrated(prior: Gamma, seen: Tally) -> tuple[float, float]:
    """Mean and standard deviation of the exact posterior, summed on a fine grid of log rate."""
    x = np.linspace(-14, 9, 20001)
    rate = np.exp(x)
    density = (prior.shape + seen.sold) * x - (prior.rate + seen.exposure) * rate
    for count, exposure in seen.at_least:
        density += np.log(np.maximum(gammainc(count, rate * exposure), 1e-320))
    weight = np.exp(density - density.max())
    weight /= weight.sum()
    mean = float((weight * rate).sum())
    return mean, float((weight * rate**2).sum() - mean**2) ** 0.5


def test_the_worked_case_with_a_prior() -> None:
    """Gamma(4, 1) and the seven weeks: mean 4.17598, F(4), F(5), F(6) by numerical integration."""
    posterior = learn(Gamma(4, 1), WEEKS)
    assert posterior.mean == pytest.approx(4.17598, rel=5e-4)
    coming = posterior.predict(1)
    cumulative = [coming.at_most(k) for k in (4, 5, 6)]
    assert cumulative == pytest.approx([0.59717, 0.74846, 0.85641], abs=5e-4)


def test_the_worked_case_lies_near_its_maximum_likelihood() -> None:
    """The seven weeks' maximum is 4.193123 (direct maximum and EM agree).

    With a prior that says next to nothing and does not favour low rates (Gamma(1, tiny)), the
    posterior's mode is that maximum, up to the approximation.
    """
    posterior = learn(Gamma(1, 1e-6), WEEKS)
    mode = (posterior.shape - 1) / posterior.rate
    assert mode == pytest.approx(4.193123, rel=0.01)


def test_dropping_the_sold_out_weeks_and_taking_them_for_full_both_say_too_little() -> None:
    """Dropped 2.5 < taken for full 3.714 < told as sold out, near the maximum 4.193."""
    dropped = Gamma(0, 0).after(FULL.sold, FULL.exposure)
    naive = dropped.after(16, 3.0)
    told = learn(Gamma(1e-9, 1e-9), WEEKS)
    assert dropped.mean == pytest.approx(2.5)
    assert naive.mean == pytest.approx(3.714, abs=5e-4)
    assert dropped.mean < naive.mean < told.mean


def test_one_such_weekend_is_exact_in_mean_and_spread() -> None:
    """Against numerical integration, for a dozen pieces gone from a weekend and a half."""
    seen = Tally(4, 1.0, ((12, 1.5),))
    posterior = learn(Gamma(1, 0.5), seen)
    assert (posterior.mean, posterior.sd) == pytest.approx(integrated(Gamma(1, 0.5), seen))


@pytest.mark.parametrize(
    ("prior", "seen"),
    [
        (Gamma(1, 0.5), Tally(0, 0.0, ((6, 1.0), (5, 1.0), (5, 1.0)))),
        (Gamma(2, 1), Tally(0, 0.0, ((20, 1.0), (1, 1.0)))),
        (Gamma(3, 2), Tally(9, 1.5, ((8, 1.2), (6, 1.0), (3, 0.5), (2, 0.5)))),
    ],
)
def test_several_such_weekends_stay_near_the_exact_answer(prior: Gamma, seen: Tally) -> None:
    """Within one part in a hundred of the integrated mean, eight of the spread."""
    mean, sd = integrated(prior, seen)
    posterior = learn(prior, seen)
    assert posterior.mean == pytest.approx(mean, rel=0.01)
    assert posterior.sd == pytest.approx(sd, rel=0.08)


def test_the_evidence_is_the_chance_of_at_least_so_many() -> None:
    """The logarithm of the predictive upper tail, 1 - F(c - 1), not 1 - F(c)."""
    evidence, _, _ = censored.condition(4, 1, 5, 1.0)
    below = sum(
        exp(lgamma(4 + k) - lgamma(4) - lgamma(k + 1) + 4 * log(0.5) + k * log(0.5))
        for k in range(5)
    )
    assert exp(float(evidence)) == pytest.approx(1 - below)


def test_a_tail_beyond_the_numbers_is_met_at_its_limit() -> None:
    """A thousand gone where none was thought of: as if exactly so many had been asked for."""
    stubborn = Gamma(1000, 1e6)
    after = stubborn.after_at_least(1000, 1.0)
    assert after == Gamma(2000, 1e6 + 1)
    evidence, shape, rate = censored.condition([1000, 4], [1e6, 1], [1000, 5], [1.0, 1.0])
    assert evidence[0] < log(censored.FAINTEST)
    assert np.isfinite(evidence).all()
    assert shape[1] / rate[1] == pytest.approx(Gamma(4, 1).after_at_least(5, 1).mean)


def test_the_limit_joins_the_formula_smoothly() -> None:
    """Just inside the faintest tail the closed form agrees with the limit taken beyond it."""
    for count in (88, 89, 90, 91, 92, 93):
        _, shape, rate = censored.condition(50.0, 1e5, count, 1.0)
        assert float(shape) == pytest.approx(50 + count, rel=1e-2)
        assert float(shape / rate) == pytest.approx((50 + count) / (1e5 + 1), rel=1e-4)


def test_none_in_stock_says_nothing() -> None:
    """At least nothing was asked for: no news."""
    assert Gamma(2, 1).after_at_least(0, 1.0) == Gamma(2, 1)


@given(
    st.builds(Gamma, st.floats(0.05, 200), st.floats(0.05, 200)),
    st.integers(1, 300),
    st.floats(0.05, 5),
)
def test_a_sell_out_is_never_worse_news_than_the_same_sales(
    prior: Gamma, count: int, exposure: float
) -> None:
    """It lifts the mean above the prior's, and above that of exactly so many asked for."""
    after = prior.after_at_least(count, exposure)
    assert after.mean >= prior.mean * (1 - 1e-9)
    assert after.mean >= prior.after(count, exposure).mean * (1 - 1e-9)


@given(
    st.builds(Gamma, st.floats(0.05, 50), st.floats(0.05, 50)),
    st.integers(1, 100),
    st.floats(0.05, 5),
)
def test_a_larger_sell_out_is_never_lower_news(prior: Gamma, count: int, exposure: float) -> None:
    """One piece more gone: never a lower mean."""
    fewer = prior.after_at_least(count, exposure).mean
    assert prior.after_at_least(count + 1, exposure).mean >= fewer * (1 - 1e-9)
