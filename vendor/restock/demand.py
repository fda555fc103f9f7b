"""What a weekend will ask for: each ware's own sales, steadied by what all ware do.

The model: a ware's customers come as a Poisson process with a rate of its own; rates vary between
ware as one Gamma distribution, the shared prior. A ware's weekends turn the prior into its own
Gamma, and that into a negative binomial for any coming weekend. What the model does not know: a
customer who takes four at once, a rate that drifts through the season, ware that stand in for
each other when one is gone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from vendor.restock.prior import ANCHOR, Anchor, FittedPrior, fit_prior
from vendor.restock.rates import Gamma, NegativeBinomial
from vendor.restock.reason import Reason, reason_for
from vendor.restock.records import Record, Tally, tally


@dataclass(frozen=True, slots=True)
class Estimate:
    """What is believed of one ware's rate, and why."""

    ware: int
    rate: Gamma
    reason: Reason

    def weekend(self, exposure: float = 1.0) -> NegativeBinomial:
        """Demand in a coming weekend, or in several whose exposures are summed."""
        return self.rate.predict(exposure)


@dataclass(frozen=True, slots=True)
class Season:
    """The shared prior and the estimate of each ware, by ware."""

    prior: FittedPrior
    estimates: Mapping[int, Estimate]


def estimate_season(
    records: Mapping[int, Iterable[Record]],
    *,
    earlier: Iterable[Iterable[Record]] = (),
    anchor: Anchor = ANCHOR,
) -> Season:
    """Estimate every ware from the season's records so far.

    `records`: by ware, its weekends so far; none for ware that was never out, which then gets the
    prior itself. `earlier`: the same for ware of earlier fairs; they shape the prior only, for
    another fair's crowd says how ware differ but not how fast this ware sells here.
    """
    kept = {ware: tuple(each) for ware, each in records.items()}
    tallies = {ware: tally(each) for ware, each in kept.items()}
    prior = fit_prior([*(tally(each) for each in earlier), *tallies.values()], anchor)
    estimates = {
        ware: Estimate(ware, learn(prior.gamma, tallies[ware]), reason_for(each, prior))
        for ware, each in kept.items()
    }
    return Season(prior, estimates)


def learn(prior: Gamma, seen: Tally) -> Gamma:
    """Turn the prior into what is believed of a ware's rate after its weekends.

    Exact for weekends with known hours; each sell-out of unknown hour is worked in by its first
    two moments (see `vendor.restock.censored`).
    """
    rate = prior.after(seen.sold, seen.exposure)
    for count, exposure in seen.at_least:
        rate = rate.after_at_least(count, exposure)
    return rate
