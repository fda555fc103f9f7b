"""A small stall of the Oxmere Mill Winter Fair: what comes, goes and is sold, by the clock."""

import datetime
import itertools

from tests.factories import (
    OwnerFactory,
    PriceFactory,
    StudioFactory,
    TierFactory,
    WareFactory,
    shelf,
    stocked,
)
from tests.fairs.makers import FIRST_DAY, a_fair, weekends_of
from vendor.fairs.models import Fair, Weekend
from vendor.house import clock
from vendor.house.models import Studio
from vendor.ledger import actions, holds
from vendor.ledger.models import Entry, Hold, Place
from vendor.restock import queries, reading
from vendor.restock.plans import Plan, Row
from vendor.restock.room import Room
from vendor.ware.models import Ware

WEEK = datetime.timedelta(days=7)
_keys = itertools.count(1)


class Season:
    """The fair with its weekends from 21 November 2026, ten to five, and an owner's hands."""

    def __init__(self, *, count: int = 3) -> None:
        self.studio: Studio = StudioFactory()
        self.owner = OwnerFactory()
        self.fair: Fair = a_fair(self.owner)
        self.weekends: list[Weekend] = weekends_of(self.fair, self.owner, count)
        self.stall = self.fair.stall

    def at(self, weekend: int, day: int, hour: float) -> datetime.datetime:
        """Return the hour of a weekend's day: 0 Saturday, 1 Sunday, -1 the Friday before."""
        date = FIRST_DAY + (weekend - 1) * WEEK + datetime.timedelta(days=day)
        whole, part = divmod(round(hour * 60), 60)
        return clock.at(date, datetime.time(whole, part), self.studio)

    def ware(self, *, free: int = 0, price: int = 3400, **more: object) -> Ware:
        """Make a ware with a price and free pieces on the shelf."""
        ware: Ware = WareFactory(**more)
        PriceFactory(tier=TierFactory(), ware=ware, amount=price, set_by=self.owner)
        if free:
            stocked(ware, free, who=self.owner)
        return ware

    def bring(
        self, ware: Ware, pieces: int, when: datetime.datetime, grade: str = "first"
    ) -> Entry:
        """Make pieces and put them on the stall."""
        stocked(ware, pieces, grade=grade, who=self.owner, key=f"made-{next(_keys)}")
        lines = [actions.Line(ware.pk, pieces, grade)]
        return actions.move(
            key=f"van-{next(_keys)}", lines=lines, source=shelf(), target=self.stall,
            who=self.owner, now=when,
        )  # fmt: skip

    def sell(
        self, ware: Ware, *moments: datetime.datetime, pieces: int = 1, grade: str = "first"
    ) -> Entry:
        """Sell pieces at each moment; returns the last sale."""
        for when in moments:
            entry = actions.sell(
                key=f"sale-{next(_keys)}", lines=[actions.Line(ware.pk, pieces, grade)],
                source=self.stall, who=self.owner, now=when,
            )  # fmt: skip
        return entry

    def undo(self, entry: Entry, when: datetime.datetime) -> None:
        """Undo an entry under its own day."""
        actions.reverse(
            key=f"undo-{next(_keys)}", entry=entry, who=self.owner, now=when,
            happened_at=entry.happened_at, reason="by mistake",
        )  # fmt: skip

    def hold(self, ware: Ware, when: datetime.datetime, at: Place | None = None) -> Hold:
        """Set a piece aside for a promise."""
        return holds.hold(
            key=f"hold-{next(_keys)}", ware_id=ware.pk, at=at or self.stall, purpose="commitment",
            label="Promise 12", who=self.owner, now=when,
        )  # fmt: skip

    def plan(self, now: datetime.datetime, *, level: int = 80, room: Room | None = None) -> Plan:
        """Return the plan of the coming weekend."""
        weekends = reading.all_weekends()
        coming = queries.fairs_ahead(weekends, now=now, studio=self.studio)[0]
        return queries.plan(
            coming, weekends=weekends, level=level, room=room or Room(), now=now,
            studio=self.studio,
        )  # fmt: skip

    def row(self, ware: Ware, now: datetime.datetime, **more: object) -> Row:
        """Return the plan's row of a ware."""
        plan = self.plan(now, **more)  # type: ignore[arg-type]
        return next(row for row in plan.rows if row.ware.pk == ware.pk)
