"""Reads across the promises' tables: a fixed number of statements, however much data there is."""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from vendor.ledger.models import Balance, Place
from vendor.supporters import accounts
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Form, Grade, Ware

SOON = datetime.timedelta(days=14)
# Where a piece is looked for first: what stands at the stall is there to be sold.
PLACES = (Place.Kind.STUDIO, Place.Kind.ONLINE, Place.Kind.GALLERY, Place.Kind.STALL)


@dataclass(frozen=True, slots=True)
class Offer:
    """Free pieces of one ware and grade at one place, that could keep a promise."""

    ware: Ware
    grade: str
    place: Place
    free: int
    exact: bool = True

    @property
    def is_second(self) -> bool:
        """Whether these are flawed pieces."""
        return self.grade == Grade.SECOND


@dataclass(frozen=True, slots=True)
class Row:
    """One open promise as the lists show it; `offer` is the exact piece to hold with one tap."""

    commitment: Commitment
    overdue: bool
    soon: bool
    offer: Offer | None


@dataclass(frozen=True, slots=True)
class Overview:
    """All open promises by what is to be done about them; `free` is what could be held."""

    rows: list[Row]
    free: list[Offer]

    @property
    def overdue(self) -> list[Row]:
        """Open promises whose day has passed, whatever stage they are at."""
        return [row for row in self.rows if row.overdue]

    @property
    def soon(self) -> list[Row]:
        """Promises due within two weeks that have no piece yet."""
        return [row for row in self.rows if row.soon and not row.commitment.has_a_piece]

    @property
    def waiting(self) -> list[Row]:
        """Promises whose supporter has been asked for choices and has not answered."""
        return [row for row in self._calm() if row.commitment.waits_on_choices]

    @property
    def owed(self) -> list[Row]:
        """The other promises without a piece."""
        return [
            row
            for row in self._calm()
            if not row.commitment.waits_on_choices and not row.commitment.has_a_piece
        ]

    @property
    def held(self) -> list[Row]:
        """Promises whose piece is set aside or packed, and that are not overdue."""
        return [row for row in self.rows if row.commitment.has_a_piece and not row.overdue]

    @property
    def free_count(self) -> int:
        """How many free firsts there are."""
        return sum(offer.free for offer in self.free)

    @property
    def free_forms(self) -> list[Form]:
        """The forms of the free pieces: they share one scale."""
        return [offer.ware.form for offer in self.free]

    def _calm(self) -> list[Row]:
        return [row for row in self.rows if not row.overdue and not row.soon]


@dataclass(frozen=True, slots=True)
class SupporterRow:
    """One supporter with their level, their credits, and what they are owed."""

    supporter: Supporter
    level_name: str
    balance: int
    open: int
    overdue: int
    kept: int


def overview(today: datetime.date) -> Overview:
    """Return every open promise and what free firsts there are (two statements)."""
    promises = list(Commitment.objects.open().named().order_by("due_on", "number"))
    free = free_stock()
    exact: dict[tuple[int, str], Offer] = {}
    for each in free:
        exact.setdefault((each.ware.pk, each.grade), each)
    rows = []
    for promise in promises:
        offer: Offer | None = None
        if not promise.has_a_piece and promise.ware_id is not None:
            offer = exact.get((promise.ware_id, Grade.FIRST))
            if offer is None and promise.seconds_allowed:
                offer = exact.get((promise.ware_id, Grade.SECOND))
        late = promise.is_overdue(today)
        soon = not late and promise.due_on is not None and promise.due_on <= today + SOON
        rows.append(Row(promise, late, soon, offer))
    return Overview(rows, [offer for offer in free if not offer.is_second])


def free_stock() -> list[Offer]:
    """Return what is free by ware, grade and place, in the order to take it (one statement)."""
    rows = Balance.objects.filter(on_hand__gt=0).select_related(
        "place", "ware__form", "ware__finish"
    )
    offers = [Offer(row.ware, row.grade, row.place, row.free) for row in rows if row.free > 0]
    return sorted(offers, key=_taking_order)


def offers_for(promise: Commitment) -> list[Offer]:
    """Return the free pieces that could keep a promise, the exact ware first, then near ones.

    Near ones share the form. Seconds are offered only where the promise allows them.
    """
    found, shape = [], promise.shape
    for offer in free_stock():
        if offer.is_second and not promise.seconds_allowed:
            continue
        exact = offer.ware.pk == promise.ware_id
        if exact or (shape is not None and offer.ware.form_id == shape.pk):
            found.append(Offer(offer.ware, offer.grade, offer.place, offer.free, exact))
    glaze = promise.glaze
    return sorted(
        found, key=lambda each: (not each.exact, each.is_second, each.ware.finish != glaze)
    )


def held_pieces(place: Place | None = None) -> list[Commitment]:
    """Return the promises with a piece set aside, by place and ware (one statement)."""
    held = Commitment.objects.with_a_piece().select_related(
        "supporter", "hold__place", "hold__ware__form", "hold__ware__finish"
    )
    if place is not None:
        held = held.filter(hold__place=place)
    return list(
        held.order_by("hold__place_id", "hold__ware__form__name", "hold__ware__finish__name")
    )


def supporters(today: datetime.date) -> list[SupporterRow]:
    """Return every supporter with credits and the number of promises (ten statements)."""
    counts: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])
    for promise in Commitment.objects.only("supporter_id", "state", "due_on").order_by():
        count = counts[promise.supporter_id]
        count[0] += promise.is_open
        count[1] += promise.is_overdue(today)
        count[2] += promise.state in Commitment.KEPT
    return [
        SupporterRow(
            each.supporter,
            each.level.name if each.level else "",
            each.account.balance,
            *counts[each.supporter.pk],
        )
        for each in accounts.standings(today)
    ]


def _taking_order(offer: Offer) -> tuple[int, str, str, str, int]:
    ware = offer.ware
    place = PLACES.index(Place.Kind(offer.place.kind))
    return (place, ware.form.name, ware.finish.name, ware.code, offer.is_second)
