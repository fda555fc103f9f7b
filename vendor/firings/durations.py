"""How many days batches take from stage to stage, by the studio's own batches.

Pure: days in, days out. A stage is the number of `models.Stage`; OUT, one past the last, is the day
on which the last piece of a batch came out of the kiln as ware.
"""

import datetime
import math
import statistics
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import combinations, pairwise

OUT = 6


@dataclass(frozen=True, slots=True)
class Measured:
    """The median of whole days between two stages, a half rounded up, and over how many batches."""

    days: int
    batches: int


@dataclass(frozen=True, slots=True)
class Durations:
    """What was measured, by (earlier stage, later stage)."""

    by_pair: Mapping[tuple[int, int], Measured] = field(default_factory=dict)

    def between(self, first: int, then: int) -> Measured | None:
        """Return what was measured from one stage to a later one; None where no batch tells."""
        return self.by_pair.get((first, then))

    def to_go(self, stage: int) -> int | None:
        """Return the days from reaching a stage until the pieces are out of the kiln as ware.

        Measured from stage to end where a batch tells; else put together of the stretches between.
        """
        whole = self.between(stage, OUT)
        if whole is not None:
            return whole.days
        parts = [self.between(*pair) for pair in pairwise(range(stage, OUT + 1))]
        return sum(part.days for part in parts if part) if all(parts) else None


def measure(histories: Iterable[Mapping[int, datetime.date]]) -> Durations:
    """Return the medians over batches, each told as the days on which it reached its stages.

    A stage that a batch passed over has no day and says nothing. With an even number of batches
    the median lies halfway between the two in the middle; a half day is rounded up, for what is
    promised by it should rather be early.
    """
    days: dict[tuple[int, int], list[int]] = defaultdict(list)
    for reached in histories:
        for first, then in combinations(sorted(reached), 2):
            days[first, then].append((reached[then] - reached[first]).days)
    return Durations(
        {
            pair: Measured(math.ceil(statistics.median(each)), len(each))
            for pair, each in days.items()
        }
    )
