"""What one ware did in one weekend, and what its weekends say together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from math import isfinite

SHORTEST_STINT = 0.25
"""Hours that a ware counts as on the stall at least, once a piece of it was sold.

A piece sold to a neighbour before the opening, or a telephone's clock that is a few minutes off,
must not look like an endless rate.
"""


class Ending(Enum):
    """How a ware's weekend ended."""

    LEFT_OVER = "left over"
    """Pieces were left: all that were asked for were sold."""
    SOLD_OUT = "sold out"
    """It was gone for some open hours, and `hours` leaves those out."""
    SOLD_OUT_UNKNOWN = "sold out, hour unknown"
    """It was gone in the end, nobody knows since when; `hours` runs to the weekend's end."""


@dataclass(frozen=True, slots=True)
class Record:
    """One ware in one weekend (or one day of it).

    `weekend` is its number in the fair, `sold` pieces, `hours` on the stall out of `open_hours`;
    `crowd_factor` says how busy the weekend was beside an ordinary one (1.0), by the potter's own
    judgement or the fair's count at the gate. `share` is what those hours are worth of the
    weekend's custom (0 to 1), where it is known how busy each hour is; None: as much as their
    number says.
    """

    weekend: int
    sold: int
    hours: float
    open_hours: float
    crowd_factor: float = 1.0
    ending: Ending = Ending.LEFT_OVER
    share: float | None = None

    def __post_init__(self) -> None:
        if self.sold < 0:
            raise ValueError(f"Sales are not negative: {self}.")
        if not (isfinite(self.crowd_factor) and self.crowd_factor > 0):
            raise ValueError(f"A crowd factor is above 0: {self}.")
        # The last bit of a sum of hours may exceed the whole.
        if not (0 <= self.hours <= self.open_hours * (1 + 1e-9) and self.open_hours > 0):
            raise ValueError(f"Hours on the stall lie within the open hours: {self}.")
        if self.share is not None and not 0 <= self.share <= 1 + 1e-9:
            raise ValueError(f"A share lies between 0 and 1: {self}.")

    @property
    def exposure(self) -> float:
        """Ordinary weekends that this record is worth: share of the open hours x crowd factor."""
        least = min(SHORTEST_STINT, self.open_hours) if self.sold else 0.0
        share = self.hours / self.open_hours if self.share is None else self.share
        return min(max(share, least / self.open_hours), 1.0) * self.crowd_factor


@dataclass(frozen=True, slots=True)
class Tally:
    """All that the model needs of a ware's weekends.

    `sold` pieces in `exposure` weekends where the hours are known, and `at_least`: for each
    sell-out of unknown hour the pair (pieces there were, exposure of the whole), largest first.
    """

    sold: int = 0
    exposure: float = 0.0
    at_least: tuple[tuple[int, float], ...] = ()

    @property
    def watched(self) -> float:
        """Exposure in all, ordinary weekends."""
        return self.exposure + sum(exposure for _, exposure in self.at_least)

    @property
    def pieces(self) -> int:
        """Pieces sold in all."""
        return self.sold + sum(count for count, _ in self.at_least)


def tally(records: Iterable[Record]) -> Tally:
    """Sum up a ware's weekends; their order makes no difference.

    A sell-out of unknown hour with nothing sold says nothing (there was none to sell) and is left
    out.
    """
    sold, exposures, at_least = 0, [], []
    for record in records:
        if record.ending is not Ending.SOLD_OUT_UNKNOWN:
            sold += record.sold
            exposures.append(record.exposure)
        elif record.sold:
            at_least.append((record.sold, record.exposure))
    return Tally(sold, sum(sorted(exposures)), tuple(sorted(at_least, reverse=True)))
