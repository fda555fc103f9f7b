"""The prior that all ware share: how fast a ware sells of which nothing is known yet.

Its two numbers are fitted by maximum marginal likelihood: with the rates integrated out, each
ware's sales are negative binomial, with its exposure (the NBD model of Ehrenberg 1959, with the
exposures of Fader & Hardie's notes). That maximum need not exist: with no sales the mean runs to
zero, and with one ware, or ware that all sold alike, the shape runs to infinity and every ware
would be held for the same. So the likelihood is anchored: two broad log-normal bells around a
named starting point are multiplied in. With no data the anchor itself is the prior; with twenty
ware and more it hardly shows (a boundary-avoiding penalty, as in Chung, Rabe-Hesketh, Dorie,
Gelman & Liu 2013, A nondegenerate penalized likelihood estimator for variance parameters).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import exp, log
from typing import TYPE_CHECKING

from vendor.restock import censored
from vendor.restock.rates import Gamma
from vendor.restock.records import Tally

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MEAN_FENCE = (log(1e-5), log(1e5))
SHAPE_FENCE = (log(1e-3), log(1e4))


@dataclass(frozen=True, slots=True)
class Anchor:
    """Where the prior stands before any sale is known, and how loosely it is held there.

    `mean` pieces per ordinary weekend and ware; `shape` of the Gamma; the spreads are standard
    deviations of their natural logarithms. An endless spread (`inf`) lets go: the fit is then the
    plain maximum, where there is one.
    """

    mean: float = 2.0
    shape: float = 1.0
    mean_spread: float = 1.5
    shape_spread: float = 1.0

    def __post_init__(self) -> None:
        if not min(self.mean, self.shape, self.mean_spread, self.shape_spread) > 0:
            raise ValueError(f"An anchor's numbers are above 0: {self}.")

    @property
    def gamma(self) -> Gamma:
        """The prior when nothing is known at all."""
        return Gamma(self.shape, self.shape / self.mean)

    def log_density(self, log_mean: float, log_shape: float) -> float:
        """How well a prior agrees with the anchor (log scale, 0 at the anchor)."""
        mean = (log_mean - log(self.mean)) / self.mean_spread
        shape = (log_shape - log(self.shape)) / self.shape_spread
        return -(mean * mean + shape * shape) / 2


ANCHOR = Anchor()
"""The anchor of a studio's first fair. No source: a judgement, written down.

A few pieces of each ware in a weekend is a stall's common practice, and 2 is the middle of that;
one standard deviation reaches from 0.4 to 9. Shape 1 says that rates differ between ware by as
much as they amount to (a few sell well, many little), and one standard deviation reaches from
0.37 to 2.7. It is worth half a weekend of watching, so that a ware's own first weekend already
outweighs it.
"""


@dataclass(frozen=True, slots=True)
class FittedPrior:
    """A prior and what it was fitted to.

    `ware` is the number of ware with any exposure, `sold` and `exposure` their sums; 0 ware means
    that the prior is the anchor itself.
    """

    gamma: Gamma
    ware: int
    sold: int
    exposure: float


def fit_prior(tallies: Iterable[Tally], anchor: Anchor = ANCHOR) -> FittedPrior:
    """Fit the shared prior to the ware of the season so far, of earlier fairs, or of both.

    The same tallies in any order give the same prior (up to rounding); ware that was never on the
    stall has no say. Never fails for want of data: see the module.
    """
    seen = [each for each in tallies if each.watched > 0]
    sold, watched = sum(each.pieces for each in seen), sum(each.watched for each in seen)
    if not seen:
        return FittedPrior(anchor.gamma, 0, 0, 0.0)
    columns = _Columns.of(seen)

    def badness(point: Floats) -> float:
        log_mean, log_shape = _fenced(point)
        shape = exp(log_shape)
        fit = columns.log_likelihood(shape, shape / exp(log_mean))
        return -fit - anchor.log_density(log_mean, log_shape)

    start = (log((sold + anchor.mean) / (watched + 1)), log(anchor.shape))
    log_mean, log_shape = _fenced(_lowest(badness, start))
    shape = exp(log_shape)
    return FittedPrior(Gamma(shape, shape / exp(log_mean)), len(seen), sold, watched)


def log_likelihood(tallies: Iterable[Tally], prior: Gamma) -> float:
    """Take the logarithm of a prior's marginal likelihood, the rates integrated out.

    In the form for the times of the sales: the factors exposure**sold / sold! that don't depend on
    the prior are left off.
    """
    return _Columns.of(list(tallies)).log_likelihood(prior.shape, prior.rate)


def _fenced(point: Floats | tuple[float, float]) -> tuple[float, float]:
    """Keep a point of the search where the special functions keep their digits."""
    (mean_low, mean_high), (shape_low, shape_high) = MEAN_FENCE, SHAPE_FENCE
    mean, shape = float(point[0]), float(point[1])
    return min(max(mean, mean_low), mean_high), min(max(shape, shape_low), shape_high)


def _lowest(badness: Callable[[Floats], float], start: tuple[float, float]) -> Floats:
    """Find the least badness by Nelder & Mead's simplex, which needs no derivative or chance."""
    from scipy.optimize import minimize

    # Corners of one's own: the library's are a hair apart where a start is 0.
    mean, shape = start
    corners = [(mean, shape), (mean + 0.5, shape), (mean, shape + 0.5)]
    found = minimize(
        badness,
        start,
        method="Nelder-Mead",
        options={"initial_simplex": corners, "xatol": 1e-5, "fatol": 1e-8, "maxiter": 500},
    )
    point: Floats = found.x
    return point


@dataclass(frozen=True, slots=True)
class _Columns:
    """Tallies as arrays: one entry per ware; one pair per sell-out of unknown hour and ware.

    `unknown` is a list of steps (ware's index, counts, exposures): the first holds every ware's
    largest such sell-out, the next the second largest, and so on.
    """

    sold: Floats
    exposure: Floats
    unknown: tuple[tuple[NDArray[np.intp], Floats, Floats], ...]

    @classmethod
    def of(cls, tallies: list[Tally]) -> _Columns:
        """Lay out the tallies."""
        import numpy as np

        steps = []
        for step in range(max((len(each.at_least) for each in tallies), default=0)):
            rows = [(i, *t.at_least[step]) for i, t in enumerate(tallies) if len(t.at_least) > step]
            index, counts, exposures = (np.array(each) for each in zip(*rows, strict=True))
            steps.append((index.astype(np.intp), counts.astype(float), exposures.astype(float)))
        return cls(
            np.array([each.sold for each in tallies], dtype=np.float64),
            np.array([each.exposure for each in tallies], dtype=np.float64),
            tuple(steps),
        )

    def log_likelihood(self, shape: float, rate: float) -> float:
        """See the function of that name."""
        import numpy as np
        from scipy.special import gammaln

        shapes, rates = shape + self.sold, rate + self.exposure
        total = np.sum(
            gammaln(shapes)
            - gammaln(shape)
            - shape * np.log1p(self.exposure / rate)
            - self.sold * np.log(rates)
        )
        for index, counts, exposures in self.unknown:
            evidence, shapes[index], rates[index] = censored.condition(
                shapes[index], rates[index], counts, exposures
            )
            total += np.sum(evidence)
        return float(total)
