"""What stands behind one ware's numbers: its weekends, and the chance of each piece to be sold."""

import datetime
from dataclasses import dataclass

from vendor.house.models import Studio
from vendor.restock import telling
from vendor.restock.plans import Plan, Row
from vendor.restock.quantities import Outlook, outlook
from vendor.restock.records import Ending

MORE = 4
"""Pieces that are told beyond those wanted, to show what one more would be worth."""
MOST = 16
"""Pieces that are told in all: of ware that sells by the dozen, those around the last."""


@dataclass(frozen=True, slots=True)
class Chance:
    """The n-th piece on the stall: in how many weekends of 100 it is asked for, and where it is."""

    number: int
    percent: int
    where: str

    @property
    def is_spare(self) -> bool:
        """Whether it is one more than wanted."""
        return not self.where


@dataclass(frozen=True, slots=True)
class Seen:
    """One weekend of one ware. `share` is what its hours were worth of all custom, per cent.

    `counts` is what the weekend is worth as evidence, in ordinary weekends, to two decimals.
    """

    number: int
    span: str
    sold: int
    hours: str
    ending: str
    share: int
    crowd: int
    counts: str


def on_average(row: Row) -> Outlook:
    """Return what to expect of the pieces that stand there with those that are brought."""
    return outlook(row.demand, row.standing.there + row.bring)


def chances(row: Row) -> list[Chance]:
    """Return how likely each piece on the stall is asked for, up to a few more than wanted."""
    last = max(row.wanted, row.standing.there) + MORE
    first = max(1, last - MOST + 1)
    return [
        Chance(number, round(100 * row.demand.at_least(number)), _where(number, row))
        for number in range(first, last + 1)
    ]


def _where(number: int, row: Row) -> str:
    steps = (
        (row.standing.there, "on the stall"),
        (row.bring, "bring"),
        (row.left, "free, no room"),
        (row.short, "short"),
    )
    upto = 0
    for pieces, where in steps:
        upto += pieces
        if number <= upto:
            return where
    return ""


def seen(row: Row, plan: Plan, studio: Studio) -> list[Seen]:
    """Return the weekends in which there was something to sell, in time."""
    found: list[Seen] = []
    for weekend in plan.past:
        stint = row.stints.get(weekend.number)
        if stint is None or not stint.record.exposure:
            continue
        record = stint.record
        share = record.hours / record.open_hours if record.share is None else record.share
        found.append(
            Seen(
                number=weekend.number,
                span=weekend.span,
                sold=record.sold,
                hours=telling.hours(record.hours, record.open_hours),
                ending=_ending(record.ending, stint.sold_out_at, studio),
                share=round(100 * share),
                crowd=weekend.crowd_percent,
                counts=f"{record.exposure:.2f}",
            )
        )
    return found


def _ending(ending: Ending, at: datetime.datetime | None, studio: Studio) -> str:
    if at is not None:
        return f"sold out {telling.when(at, studio)}"
    return "sold out, hour unknown" if ending is Ending.SOLD_OUT_UNKNOWN else "some left"
