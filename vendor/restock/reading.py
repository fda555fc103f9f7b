"""Reads what the stalls' books say of each ware: its stints, weekend by weekend.

Firsts only. A second is not made on purpose and has a price of its own, so it says nothing of
what to make; and what is one of a kind is sold once. Both are left out of estimates.

An entry that was undone is passed over together with its undoing, whatever it was: a sale rung
up by mistake is no sale, and a van unloaded again never came. A piece taken back at a stall
counts against the weekend in which it came back.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from vendor.fairs.models import Weekend
from vendor.house.models import Studio
from vendor.house.studio import zone
from vendor.ledger.models import Entry, HoldLine, Movement, Place
from vendor.restock.demand import Season, estimate_season
from vendor.restock.presence import Event, Selling, Stint, stints
from vendor.restock.records import Record
from vendor.restock.rhythm import Rhythm, learn
from vendor.ware.models import Grade

UNKNOWN_BEFORE = (Place.Kind.FOUND, Place.Kind.ADJUSTED)
TAKEN = (Entry.Kind.SALE, Entry.Kind.RETURN)


@dataclass(frozen=True, slots=True)
class Past:
    """The stints of each ware at each fair (fair, then ware, then the weekend's number).

    `rhythms` by fair: how busy each hour of its weekends is.
    """

    by_fair: Mapping[int, Mapping[int, Mapping[int, Stint]]]
    rhythms: Mapping[int, Rhythm]

    def season(self, fair_id: int, ware_ids: Iterable[int]) -> Season:
        """Estimate these ware, and all that were ever at this fair, from its weekends.

        Other fairs tell how ware differ, not how fast they sell here.
        """
        here = self.by_fair.get(fair_id, {})
        records = {ware: _records(here.get(ware, {})) for ware in {*ware_ids, *here}}
        earlier = [
            _records(told)
            for fair, ware in self.by_fair.items()
            if fair != fair_id
            for told in ware.values()
        ]
        return estimate_season(records, earlier=earlier)


def _records(told: Mapping[int, Stint]) -> list[Record]:
    return [stint.record for stint in told.values()]


def all_weekends() -> list[Weekend]:
    """Return the weekends of all fairs that have a day, in time (two statements)."""
    weekends = (
        Weekend.objects.select_related("fair__stall", "fair__tier")
        .prefetch_related("days")
        .order_by("first_day", "id")
    )
    return [each for each in weekends if each.days.all()]


def selling(weekend: Weekend) -> Selling:
    """Return a weekend's days on the clock (no statement where its days are at hand)."""
    days = tuple(
        (_moment(each.day, each.opens), _moment(each.day, each.closes))
        for each in sorted(weekend.days.all(), key=lambda each: each.day)
    )
    return Selling(weekend.number, days, weekend.crowd_percent / 100)


def _moment(day: datetime.date, time: datetime.time) -> datetime.datetime:
    return datetime.datetime.combine(day, time)


def on_the_clock(moment: datetime.datetime, studio: Studio) -> datetime.datetime:
    """Return what the studio's clock shows at an aware moment."""
    return moment.astimezone(zone(studio)).replace(tzinfo=None)


def past(weekends: Sequence[Weekend], *, now: datetime.datetime, studio: Studio) -> Past:
    """Return all stints up to now (two statements, however many fairs and sales)."""
    events = _events(zone(studio))
    by_fair: dict[int, list[Weekend]] = defaultdict(list)
    for weekend in weekends:
        by_fair[weekend.fair_id].append(weekend)
    until = on_the_clock(now, studio)
    told, rhythms = {}, {}
    for fair_id, its in by_fair.items():
        sold_on = [selling(each) for each in its]
        at_stall = events.get(its[0].fair.stall_id, {})
        plain = {ware: stints(each, sold_on, until=until) for ware, each in at_stall.items()}
        rhythms[fair_id] = learn(sold_on, plain, at_stall)
        told[fair_id] = _weighed(plain, sold_on, rhythms[fair_id])
    return Past(told, rhythms)


def _weighed(
    plain: Mapping[int, Mapping[int, Stint]], weekends: Iterable[Selling], rhythm: Rhythm
) -> dict[int, dict[int, Stint]]:
    """Return the stints by ware and number, each with what its hours were worth."""
    by_number = {each.number: each for each in weekends}
    return {
        ware: {number: rhythm.weigh(by_number[number], each) for number, each in its.items()}
        for ware, its in plain.items()
    }


def _events(tz: ZoneInfo) -> dict[int, dict[int, list[Event]]]:
    """Return by stall and ware what changed what could be bought there, in the order of time."""
    change: dict[tuple[int, int, int], list[int]] = defaultdict(lambda: [0, 0, 0])
    moments: dict[int, datetime.datetime] = {}
    for entry, at, kind, ware, grade, source, source_kind, target, target_kind, pieces in _moves():
        moments[entry] = at
        if grade != Grade.FIRST:
            # A second that turns out a first is corrected in one entry: no piece came to light.
            if source_kind == Place.Kind.STALL and target_kind == Place.Kind.ADJUSTED:
                change[source, ware, entry][2] -= pieces
            continue
        if source_kind == Place.Kind.STALL:
            line = change[source, ware, entry]
            line[0] -= pieces
            line[1] += pieces if kind in TAKEN and target_kind == Place.Kind.SOLD else 0
        if target_kind == Place.Kind.STALL:
            line = change[target, ware, entry]
            line[0] += pieces
            line[1] -= pieces if kind in TAKEN and source_kind == Place.Kind.SOLD else 0
            line[2] += pieces if source_kind in UNKNOWN_BEFORE and kind != Entry.Kind.OPENING else 0
    for entry, at, place, ware, pieces in _held():
        moments[entry] = at
        change[place, ware, entry][0] -= pieces
    found: dict[int, dict[int, list[Event]]] = defaultdict(lambda: defaultdict(list))
    for place, ware, entry in sorted(change, key=lambda key: (moments[key[2]], key[2])):
        free, sold, unknown = change[place, ware, entry]
        at = moments[entry].astimezone(tz).replace(tzinfo=None)
        if free or sold:
            found[place][ware].append(Event(at, free, sold, found=unknown > 0))
    return found


def _moves() -> QuerySet[Movement, tuple[Any, ...]]:
    at_a_stall = Q(source__kind=Place.Kind.STALL) | Q(target__kind=Place.Kind.STALL)
    return (
        _standing(Movement.objects.filter(at_a_stall, ware__one_of_a_kind=False))
        .order_by()
        .values_list(
            "entry_id", "entry__happened_at", "entry__kind", "ware_id", "grade",
            "source_id", "source__kind", "target_id", "target__kind", "quantity",
        )
    )  # fmt: skip


def _held() -> QuerySet[HoldLine, tuple[Any, ...]]:
    lines = HoldLine.objects.filter(
        place__kind=Place.Kind.STALL, hold__grade=Grade.FIRST, hold__ware__one_of_a_kind=False
    )
    return (
        _standing(lines)
        .order_by()
        .values_list("entry_id", "entry__happened_at", "place_id", "hold__ware_id", "change")
    )


def _standing(lines: QuerySet[Any]) -> QuerySet[Any]:
    """Leave out the lines of entries that were undone, and those of their undoing."""
    return lines.filter(entry__reverses__isnull=True, entry__reversed_by__isnull=True)
