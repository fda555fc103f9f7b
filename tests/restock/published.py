"""Published data and small distributions that the checks of this part share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, lgamma, log

# Nahmias, Production and Operations Analysis, chapter 5: a newsstand's 52 weeks of demand.
# fmt: off
NEWSSTAND = [
    15, 19, 9, 12, 9, 22, 14, 11, 6, 11, 9, 18, 10, 5, 4, 17, 18, 14, 15, 8,
    9, 4, 6, 7, 12, 15, 15, 19, 4, 7, 8, 11, 0, 14, 12, 9, 10, 8, 9, 16,
    8, 11, 11, 18, 15, 17, 19, 14, 14, 17, 13, 12,
]
# fmt: on

# Fader & Hardie's billboard exposures: how many of 250 people saw it 0, 1, 2 ... 23 times.
BILLBOARD = [48, 37, 30, 24, 20, 16, 13, 11, 9, 7, 6, 5, 5, 3, 3, 2, 2, 2, 1, 1, 2, 1, 1, 1]


@dataclass(frozen=True)
class Table:
    """Demand with a listed probability for each count."""

    chances: Mapping[int, float]

    @property
    def mean(self) -> float:
        return sum(count * chance for count, chance in self.chances.items())

    def at_most(self, count: int) -> float:
        return sum(chance for each, chance in self.chances.items() if each <= count)

    def at_least(self, count: int) -> float:
        return sum(chance for each, chance in self.chances.items() if each >= count)


def poisson(mean: float) -> Table:
    """Poisson demand, summed term by term far into the tail, independently of scipy."""
    last = int(mean + 20 * mean**0.5 + 20)
    return Table({k: exp(k * log(mean) - mean - lgamma(k + 1)) for k in range(last + 1)})


def observed(counts: list[int]) -> Table:
    """Build the empirical distribution of counts."""
    return Table({each: counts.count(each) / len(counts) for each in sorted(set(counts))})
