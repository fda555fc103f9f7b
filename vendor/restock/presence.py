"""When a ware could be bought at a stall, told from what came, went and was sold there.

Pure functions over the stall's own history. Moments are naive: what the studio's clock showed.
From them come a weekend's `Record` and the moment at which the ware sold out. Three things that
happen at a stall are seen to:

- A piece is sold, or counted, that the books say was not there (an unlisted box, a slip of the
  pen, a van entered late). So it had been there: since the weekend began, or since the books had
  it sold out.
- The last piece is sold by the count, which is dated at a day's last hour: it sold out, nobody
  knows when.
- The last piece goes otherwise (broken, taken home, set aside for somebody): the ware is off the
  stall from then on, but it did not sell out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from vendor.restock.exposure import Absence, OpenHours, hours_on_stall, open_hours, spans_on_stall
from vendor.restock.records import Ending, Record

HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Event:
    """One entry as it changed one ware at the stall.

    `free`: pieces more (or fewer) that could be bought; `sold`: pieces sold, or below zero taken
    back; `found`: pieces came to light that the books did not know.
    """

    at: datetime
    free: int
    sold: int = 0
    found: bool = False


@dataclass(frozen=True, slots=True)
class Selling:
    """One weekend: its number, its days' (opening, closing) in order, its crowd (1.0: ordinary)."""

    number: int
    days: tuple[tuple[datetime, datetime], ...]
    crowd_factor: float = 1.0

    def __post_init__(self) -> None:
        if not self.days:
            raise ValueError(f"A weekend has a day: {self}.")

    @property
    def begins(self) -> datetime:
        """Midnight before its first day, from which its hours are counted."""
        return datetime.combine(self.days[0][0].date(), time())

    @property
    def ends(self) -> datetime:
        """Midnight after its last day."""
        return datetime.combine(self.closes.date(), time()) + timedelta(days=1)

    @property
    def opens(self) -> datetime:
        """The first hour at which the stall opens."""
        return self.days[0][0]

    @property
    def closes(self) -> datetime:
        """The last hour at which the stall closes."""
        return self.days[-1][1]

    @property
    def open_days(self) -> list[OpenHours]:
        """Its days in hours from `begins`."""
        return [OpenHours(self.hour(opens), self.hour(closes)) for opens, closes in self.days]

    def is_after_hours(self, at: datetime) -> bool:
        """Whether a moment is in the evening of one of its days, when the stall is closed."""
        return any(closes <= at and closes.date() == at.date() for _, closes in self.days)

    def hour(self, at: datetime) -> float:
        """Count the hours on the clock from `begins` to a moment."""
        return (at - self.begins) / HOUR


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without a piece to buy: from `gone` (None: from the start) to `back` (None: now).

    `sold_out` when a sale began it.
    """

    gone: datetime | None
    back: datetime | None
    sold_out: bool


@dataclass(frozen=True, slots=True)
class Stint:
    """One ware in one weekend: its record, and the last hour-known moment it sold out at.

    `spans` are the open hours it was on the stall, from hour to hour of the weekend.
    """

    record: Record
    sold_out_at: datetime | None
    spans: tuple[tuple[float, float], ...] = ()


def stints(
    events: Sequence[Event], weekends: Sequence[Selling], *, until: datetime
) -> dict[int, Stint]:
    """Tell a ware's weekends at a stall so far, by their numbers.

    `events` in the order in which they happened, `weekends` in time. Weekends that have not
    opened by `until` are left out; the one that is on counts up to then.
    """
    begun = [each.begins for each in weekends if each.begins <= until]
    gaps = gaps_of(events, begun)
    return {
        weekend.number: _stint(weekend, events, gaps, until)
        for weekend in weekends
        if weekend.opens < until
    }


def gaps_of(events: Sequence[Event], begun: Sequence[datetime]) -> list[Gap]:
    """Find the stretches in which there was nothing to buy; `begun`: when each weekend did."""
    gaps: list[Gap] = []
    free, absent, gone, sold_out = 0, True, None, False
    for event in events:
        before, free = free, free + event.free
        if absent and (before < 0 or (before == 0 and (event.found or free < 0))):
            since = max((each for each in begun if each <= event.at), default=event.at)
            if gone is None or gone < since:
                gaps.append(Gap(gone, since, sold_out))
            absent = False
        if absent and free > 0:
            gaps.append(Gap(gone, event.at, sold_out))
            absent = False
        elif not absent and free <= 0:
            absent, gone, sold_out = True, event.at, event.sold > 0
    if absent:
        gaps.append(Gap(gone, None, sold_out))
    return gaps


def _stint(
    weekend: Selling, events: Sequence[Event], gaps: Sequence[Gap], until: datetime
) -> Stint:
    days, limit = weekend.open_days, weekend.hour(until)
    watched = open_hours(days, until=limit)
    absences, sold_out_at, unknown = [], None, False
    for gap in gaps:
        absence = _absence(gap, weekend)
        if absence is None:
            continue
        absences.append(absence)
        if not gap.sold_out or gap.gone is None or gap.gone < weekend.begins:
            continue
        if weekend.is_after_hours(gap.gone):
            unknown = True
        elif hours_on_stall(days, [absence], until=limit) < watched:
            sold_out_at = gap.gone
    spans = spans_on_stall(days, absences, until=limit)
    sold = sum(each.sold for each in events if weekend.begins <= each.at < weekend.ends)
    record = Record(
        weekend=weekend.number,
        sold=max(sold, 0),
        hours=sum(end - start for start, end in spans),
        open_hours=open_hours(days),
        crowd_factor=weekend.crowd_factor,
        ending=_ending(unknown=unknown, known=sold_out_at is not None),
    )
    return Stint(record, None if unknown else sold_out_at, tuple(spans))


def _ending(*, unknown: bool, known: bool) -> Ending:
    if unknown:
        return Ending.SOLD_OUT_UNKNOWN
    return Ending.SOLD_OUT if known else Ending.LEFT_OVER


def _absence(gap: Gap, weekend: Selling) -> Absence | None:
    """Return the part of a gap that lies after the weekend's beginning, in its hours."""
    if gap.back is not None and gap.back <= weekend.begins:
        return None
    gone = 0.0 if gap.gone is None else max(weekend.hour(gap.gone), 0.0)
    return Absence(gone, None if gap.back is None else max(weekend.hour(gap.back), gone))
