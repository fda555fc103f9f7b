"""Reads across the ledger's tables: a fixed number of statements, however much data there is."""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, Sum

from vendor.ledger.models import Balance, Entry, Hold, Movement, Place
from vendor.ware.models import Grade, Ware


@dataclass(frozen=True, slots=True)
class StockRow:
    """What stands of one ware and grade at one physical place (pieces)."""

    ware: Ware
    grade: str
    place: Place
    on_hand: int
    held: int

    @property
    def free(self) -> int:
        """On hand less held."""
        return self.on_hand - self.held


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One movement of a ware, as its history shows it."""

    entry: Entry
    grade: str
    source: Place
    target: Place
    quantity: int
    reversed: bool


@dataclass(slots=True)
class Flow:
    """What came to and went from one place in a stretch of days, of one ware and grade (pieces).

    `came` and `went` are by the kind of the place at the other end (`Place.Kind`).
    """

    opening: int
    came: dict[str, int]
    went: dict[str, int]

    @property
    def recorded(self) -> int:
        """What the ledger says stands there after it all."""
        return self.opening + sum(self.came.values()) - sum(self.went.values())


def stock(*, place: Place | None = None, ware: Ware | None = None) -> list[StockRow]:
    """Return all stock that is not zero, in the order that lists show (one statement)."""
    rows = Balance.objects.filter(on_hand__gt=0).select_related(
        "place", "ware__form", "ware__finish"
    )
    if place is not None:
        rows = rows.filter(place=place)
    if ware is not None:
        rows = rows.filter(ware=ware)
    rows = rows.order_by(
        "ware__form__name", "ware__finish__name", "ware__code", "grade", "place_id"
    )
    return [StockRow(row.ware, row.grade, row.place, row.on_hand, row.held) for row in rows]


def on_hand_at(place: Place) -> dict[tuple[int, str], Balance]:
    """Return the balances of a place by ware and grade, zero ones too (one statement)."""
    return {(row.ware_id, row.grade): row for row in Balance.objects.filter(place=place)}


def free_by_ware(
    *, kinds: Iterable[str] = Place.PHYSICAL, grade: str = Grade.FIRST
) -> dict[int, int]:
    """Return the free pieces of each ware over all places of the given kinds (one statement)."""
    rows = (
        Balance.objects.filter(place__kind__in=list(kinds), grade=grade)
        .order_by()
        .values_list("ware_id")
        .annotate(total_free=Sum("on_hand") - Sum("held"))
    )
    return {ware_id: free for ware_id, free in rows if free}


def open_holds(*, place: Place | None = None, ware: Ware | None = None) -> list[Hold]:
    """Return the holds that hold something, oldest first (one statement)."""
    holds = Hold.objects.filter(quantity__gt=0).select_related(
        "place", "ware__form", "ware__finish"
    )
    if place is not None:
        holds = holds.filter(place=place)
    if ware is not None:
        holds = holds.filter(ware=ware)
    return list(holds.order_by("id"))


def history(ware: Ware) -> list[HistoryRow]:
    """Return every movement of a ware, the latest first (one statement)."""
    lines = (
        Movement.objects.filter(ware=ware)
        .select_related("entry__who", "entry__reversed_by", "source", "target")
        .order_by("-entry__happened_at", "-entry_id", "id")
    )
    return [
        HistoryRow(
            line.entry,
            line.grade,
            line.source,
            line.target,
            line.quantity,
            hasattr(line.entry, "reversed_by"),
        )
        for line in lines
    ]


def flows(
    place: Place, *, after: datetime.date | None, through: datetime.date, ware: int | None = None
) -> dict[tuple[int, str], Flow]:
    """Return by ware and grade what came and went at a place (two statements).

    `after` is the last day that counts as before (None: the beginning), `through` the last day
    that counts. A reversal dated in the stretch cancels a flow of the same kind rather than
    showing as one the other way: an undone sale is no sale. `ware` narrows it to one, by its
    number.
    """
    only = Q() if ware is None else Q(ware=ware)
    found: dict[tuple[int, str], Flow] = defaultdict(lambda: Flow(0, {}, {}))
    for incoming in (True, False):
        here, there = ("target", "source") if incoming else ("source", "target")
        rows = (
            Movement.objects.filter(only, Q(**{here: place}), entry__day__lte=through)
            .order_by()
            .values_list("ware_id", "grade", f"{there}__kind", "entry__kind", "entry__day")
            .annotate(total=Sum("quantity"))
        )
        for ware_id, grade, kind, entry_kind, day, total in rows:
            flow = found[ware_id, grade]
            if after is not None and day <= after:
                flow.opening += total if incoming else -total
            else:
                reversal = entry_kind == Entry.Kind.REVERSAL
                side = flow.came if incoming is not reversal else flow.went
                side[kind] = side.get(kind, 0) + (-total if reversal else total)
    return dict(found)
