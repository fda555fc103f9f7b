"""The two distributions of the demand model: a rate's Gamma, a weekend's negative binomial.

A rate is pieces per ordinary weekend (exposure 1: on the stall through all open hours, ordinary
crowd). Formulas: the conjugate Gamma-Poisson model, as in Gelman et al., Bayesian Data Analysis,
section 2.6, and Johnson, Ott & Dogucu, Bayes Rules!, chapter 5.

scipy is imported inside the functions: it takes longer to load than a page may take to answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, isfinite, log, sqrt

from vendor.restock import censored

TOLERANCE = 1e-12
"""Slack when a cumulative probability is held against a wanted one.

Without it, a probability that equals the wanted one on paper could miss it by the last bit and
ask for one piece too many.
"""


@dataclass(frozen=True, slots=True)
class Gamma:
    """What is believed of a ware's rate: Gamma(shape, rate), mean shape/rate.

    `rate` is in weekends: the prior's `rate` is the number of weekends of watching that it is
    worth. Gamma(0, 0) is the flat prior of the textbooks; it has no moments until it has seen
    sales.
    """

    shape: float
    rate: float

    def __post_init__(self) -> None:
        if not (isfinite(self.shape) and isfinite(self.rate) and min(self.shape, self.rate) >= 0):
            raise ValueError(f"A Gamma has no negative or endless number: {self}.")

    @property
    def mean(self) -> float:
        """Pieces per ordinary weekend, expected."""
        return self.shape / self.rate

    @property
    def variance(self) -> float:
        """Squared standard deviation of the rate."""
        return self.shape / self.rate**2

    @property
    def sd(self) -> float:
        """Standard deviation of the rate, pieces per ordinary weekend."""
        return sqrt(self.variance)

    def after(self, sold: int, exposure: float) -> Gamma:
        """Learn that `sold` pieces went in `exposure` weekends.

        Exact, also when the watching stopped because the `sold`-th piece was the last one: the
        likelihood of a Poisson process watched up to its k-th event is the same function of the
        rate, rate**k * exp(-rate * exposure).
        """
        if sold < 0 or exposure < 0:
            raise ValueError(f"Sales and exposure are not negative: {sold}, {exposure}.")
        return Gamma(self.shape + sold, self.rate + exposure)

    def after_at_least(self, count: int, exposure: float) -> Gamma:
        """Learn only that at least `count` were asked for in `exposure`.

        For a sell-out whose hour nobody knows. Mean and variance are exact, the shape of the
        distribution is kept a Gamma (see `vendor.restock.censored`).
        """
        if count <= 0:
            return self
        if min(self.shape, self.rate, exposure) <= 0:
            raise ValueError("Conditioning on a sell-out needs a proper prior and an exposure.")
        _, shape, rate = censored.condition(self.shape, self.rate, count, exposure)
        return Gamma(float(shape), float(rate))

    def at_most(self, value: float) -> float:
        """Return the probability that the rate is at most `value` pieces per weekend."""
        from scipy.special import gammainc

        return float(gammainc(self.shape, self.rate * max(value, 0.0)))

    def quantile(self, probability: float) -> float:
        """Find the rate that is not exceeded with this probability."""
        from scipy.special import gammaincinv

        return float(gammaincinv(self.shape, probability)) / self.rate

    def interval(self, probability: float) -> tuple[float, float]:
        """Find the central interval that holds the rate with this probability."""
        tail = (1 - probability) / 2
        return self.quantile(tail), self.quantile(1 - tail)

    def predict(self, exposure: float) -> NegativeBinomial:
        """Foretell demand in a coming weekend, or in several together, of this exposure.

        Several weekends of one ware share its rate, so that their total is a negative binomial of
        the summed exposure, not a sum of independent ones.
        """
        if not isfinite(exposure) or exposure < 0:
            raise ValueError(f"An exposure is not negative: {exposure}.")
        if self.rate <= 0:
            raise ValueError("A flat prior foretells nothing before it has seen a weekend.")
        return NegativeBinomial(self.shape, self.rate / (self.rate + exposure))


@dataclass(frozen=True, slots=True)
class NegativeBinomial:
    """Number of pieces asked for: size r > 0, success probability 0 < p <= 1.

    Pr(k) = C(k + r - 1, k) p**r (1 - p)**k; mean r (1 - p) / p. With p = 1 (no exposure) or r = 0
    nobody asks for any.
    """

    size: float
    success: float

    def __post_init__(self) -> None:
        if not (self.size >= 0 and 0 < self.success <= 1):
            raise ValueError(f"Not a negative binomial: {self}.")

    @property
    def mean(self) -> float:
        """Pieces expected to be asked for."""
        return self.size * (1 - self.success) / self.success

    @property
    def variance(self) -> float:
        """Squared standard deviation, never below the mean."""
        return self.mean / self.success

    def exactly(self, count: int) -> float:
        """Return the probability that exactly `count` are asked for."""
        from scipy.special import gammaln

        if count < 0:
            return 0.0
        if self._nothing:
            return 1.0 if count == 0 else 0.0
        ways = gammaln(self.size + count) - gammaln(self.size) - gammaln(count + 1.0)
        return exp(ways + self.size * log(self.success) + count * log(1 - self.success))

    def at_most(self, count: int) -> float:
        """Return the probability that at most `count` are asked for, an incomplete beta."""
        from scipy.special import betainc

        if count < 0:
            return 0.0
        return 1.0 if self._nothing else float(betainc(self.size, count + 1.0, self.success))

    def at_least(self, count: int) -> float:
        """Return the probability that at least `count` are asked for."""
        from scipy.special import betainc

        if count <= 0:
            return 1.0
        return 0.0 if self._nothing else float(betainc(count, self.size, 1 - self.success))

    def quantile(self, probability: float) -> int:
        """Find the smallest count whose cumulative probability reaches `probability`."""
        return smallest_count(self.at_most, probability)

    def interval(self, probability: float) -> tuple[int, int]:
        """Find the central interval that holds the count with at least this probability."""
        tail = (1 - probability) / 2
        return self.quantile(tail), self.quantile(1 - tail)

    @property
    def _nothing(self) -> bool:
        return self.size == 0 or self.success == 1


def smallest_count(at_most: Callable[[int], float], probability: float) -> int:
    """Find the smallest whole count k >= 0 with at_most(k) >= probability.

    `at_most` is any cumulative distribution over counts. Doubles until it is reached, then halves
    the range: about 2 log2(k) calls. Raises ValueError unless 0 <= probability < 1, for certainty
    has no quantity.
    """
    if not 0 <= probability < 1:
        raise ValueError(f"A probability from 0 up to, but not, 1 is needed: {probability}.")
    wanted = probability - TOLERANCE
    low, high = -1, 0
    while at_most(high) < wanted:
        low, high = high, 2 * high + 1
        if high > 2**40:
            raise ValueError(f"No count reaches the probability {probability}.")
    while high - low > 1:
        middle = (low + high) // 2
        if at_most(middle) < wanted:
            low = middle
        else:
            high = middle
    return high
