"""How busy each hour of a fair's weekend is, learned from what sold in it.

Noon sells more than the first and the last hour, and one day more than the other. What sold out
at one o'clock on the first day has then seen more of the weekend's custom than its share of the
hours: counted by hours alone, its rate would be told too high.

Learned only from ware that was there from the first hour to the last and left over: given how
many of such a ware were sold, their moments are spread as the custom is, whatever its rate. (Of
ware that sold out the last moments are missing, and taking them for quiet would lift every rate.)
Each hour is steadied towards an hour like any other as if `STEADY` pieces more had been seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from vendor.restock.presence import Event, Selling, Stint
from vendor.restock.records import Ending

STEADY = 5.0
"""Pieces; a judgement. An hour in which 15 pieces would sell at an even pace is believed to three
quarters. In drawn seasons of the demo's model anything from 2 to 20 served much the same.
"""

Hour = tuple[int, int]
"""Day of the weekend from 0, hour on the clock from 0 to 23."""
Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Rhythm:
    """The pull of each hour: 1.0 is an hour like any other, and so is one that was never seen."""

    pull: Mapping[Hour, float] = field(default_factory=dict)

    def worth(self, spans: Iterable[Span]) -> float:
        """Add up spans of a weekend's hours, each weighed by its pull."""
        return sum(
            length * self.pull.get(hour, 1.0) for span in spans for hour, length in _cut(span)
        )

    def share(self, weekend: Selling, spans: Iterable[Span]) -> float:
        """Return what spans are worth of a whole weekend, 0 to 1."""
        whole = self.worth(_open(weekend))
        return min(self.worth(spans) / whole, 1.0) if whole > 0 else 0.0

    def left(self, weekend: Selling, at: datetime) -> float:
        """Return the share of a weekend's custom that is still to come at a moment."""
        now = weekend.hour(at)
        return self.share(
            weekend, [(max(start, now), end) for start, end in _open(weekend) if end > now]
        )

    def weigh(self, weekend: Selling, stint: Stint) -> Stint:
        """Return a stint whose record knows what its hours were worth."""
        return replace(stint, record=replace(stint.record, share=self.share(weekend, stint.spans)))


def learn(
    weekends: Sequence[Selling],
    stints: Mapping[int, Mapping[int, Stint]],
    events: Mapping[int, Sequence[Event]],
) -> Rhythm:
    """Learn the pulls from each ware's stints and events at one fair (by ware, by weekend).

    With few sales every hour stays like any other.
    """
    sold: dict[Hour, float] = defaultdict(float)
    flat: dict[Hour, float] = defaultdict(float)
    for ware, its in stints.items():
        for weekend in weekends:
            stint = its.get(weekend.number)
            if stint is None or not _watched_whole(stint):
                continue
            hours = _sold(events.get(ware, ()), weekend)
            for hour, pieces in hours.items():
                sold[hour] += pieces
            each = sum(hours.values()) / stint.record.open_hours
            for span in _open(weekend):
                for hour, length in _cut(span):
                    flat[hour] += each * length
    return Rhythm({hour: (sold[hour] + STEADY) / (flat[hour] + STEADY) for hour in flat})


def _watched_whole(stint: Stint) -> bool:
    """Tell whether a ware was there from the first hour to the last, and some were left."""
    record = stint.record
    whole = record.hours > record.open_hours * (1 - 1e-9)
    return whole and record.ending is Ending.LEFT_OVER


def _open(weekend: Selling) -> list[Span]:
    return [(day.opens, day.closes) for day in weekend.open_days]


def _cut(span: Span) -> Iterable[tuple[Hour, float]]:
    """Cut a span at the full hours."""
    start, end = span
    while start < end:
        whole = int(start)
        stop = min(whole + 1.0, end)
        yield (whole // 24, whole % 24), stop - start
        start = stop


def _sold(events: Iterable[Event], weekend: Selling) -> dict[Hour, int]:
    """Count the pieces sold in each open hour of a weekend."""
    found: dict[Hour, int] = defaultdict(int)
    for event in events:
        if event.sold > 0 and any(opens <= event.at < closes for opens, closes in weekend.days):
            whole = int(weekend.hour(event.at))
            found[whole // 24, whole % 24] += event.sold
    return found
