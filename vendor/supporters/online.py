"""Pieces for the online bin, and what was sold of what is set aside: early, or online.

A second half of `actions`, by the same rules. Every piece in the bin is held there, so that nobody
packs it for a fair; a sale names what it sold, for how much, and can be undone.
"""

import datetime
from collections.abc import Sequence

from django.db import transaction

from vendor.house import clock, dates
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.actions import Line
from vendor.ledger.models import Entry, Hold, Place
from vendor.ledger.posting import take_turn
from vendor.supporters import offering
from vendor.supporters.errors import NoFreePiece, NotNow
from vendor.supporters.models import EarlyRelease, ShopSale
from vendor.supporters.steps import cleaned
from vendor.ware.models import Grade, Ware

LABEL = "Online bin"
Channel = ShopSale.Channel


def put_online(
    *,
    key: str,
    lines: Sequence[Line],
    source: Place | None = None,
    who: User,
    now: datetime.datetime,
) -> int:
    """Carry free pieces to the online bin and hold each there; returns how many.

    Refused as a whole where fewer are free (the ledger's HeldPiece or NotEnough).
    """
    wanted = [line for line in lines if line.quantity > 0]
    count = sum(line.quantity for line in wanted)
    if not wanted:
        raise NoFreePiece("No piece was chosen for the online bin. Nothing was changed.")
    if count > offering.MOST:
        raise NoFreePiece(f"Put at most {offering.MOST} pieces online at once. Nothing changed.")
    with transaction.atomic():
        take_turn()
        if offering.ledger_knows(f"online:{key}"):
            return count
        shelf = source or ledger.the_place(Place.Kind.STUDIO)
        box = ledger.the_place(Place.Kind.ONLINE)
        if shelf.pk != box.pk:
            ledger.move(
                key=f"online:{key}", lines=wanted, source=shelf, target=box, who=who, now=now
            )
        _hold_each(key, wanted, box, who, now)
    return count


def take_offline(
    *,
    key: str,
    ware: Ware,
    grade: str = Grade.FIRST,
    quantity: int,
    reason: str,
    who: User,
    now: datetime.datetime,
) -> int:
    """Bring pieces back from the online bin to the studio shelf, free again."""
    why = reason_of(reason, "they come back")
    with transaction.atomic():
        take_turn()
        if offering.ledger_knows(f"offline:{key}:0"):
            return quantity
        chosen = _in_the_bin(ware, grade, quantity)
        for nth, hold in enumerate(chosen):
            holds.release(key=f"offline:{key}:{nth}", hold=hold, who=who, now=now, reason=why)
        ledger.move(
            key=f"offline-move:{key}",
            lines=[Line(ware.pk, quantity, grade)],
            source=ledger.the_place(Place.Kind.ONLINE),
            target=ledger.the_place(Place.Kind.STUDIO),
            who=who,
            now=now,
        )
    return quantity


def sell_set_aside(
    *,
    key: str,
    ware: Ware,
    grade: str = Grade.FIRST,
    quantity: int,
    price: int,
    release: EarlyRelease | None = None,
    sold_on: datetime.date | None = None,
    reference: str = "",
    tier_name: str = "",
    who: User,
    now: datetime.datetime,
) -> ShopSale:
    """Record a sale of held pieces: of an early release, or online where none is named.

    `price` is of one piece, in minor units. Refused (NoFreePiece) where fewer are held for it, and
    (NotNow) on a day on which the early release is not open.
    """
    with transaction.atomic():
        take_turn()
        before = ShopSale.objects.filter(key=key).first()
        if before is not None:
            return before
        day = sold_on or clock.day_of(now, the_studio())
        _refuse_not_open(release, day)
        chosen = _chosen(release, ware, grade, quantity)
        sale = ShopSale(
            key=key,
            made_by=who,
            made_at=now,
            channel=Channel.ONLINE if release is None else Channel.EARLY,
            release=release,
            ware=ware,
            grade=grade,
            quantity=quantity,
            price=price,
            tier_name=tier_name,
            sold_on=day,
            reference=reference.strip(),
        )
        sale.entry = _out(key, chosen, sale, who, now)
        cleaned(sale).save()
    return sale


def undo_sale(
    *, key: str, sale: ShopSale, reason: str, who: User, now: datetime.datetime
) -> ShopSale:
    """Undo a sale by a reversing entry: its pieces are held again, or free if the release ended."""
    why = reason_of(reason, "the sale is undone")
    with transaction.atomic():
        take_turn()
        fresh = ShopSale.objects.select_related("entry", "release").get(pk=sale.pk)
        if offering.ledger_knows(f"unsell:{key}"):
            return fresh
        if fresh.undone_at is not None:
            raise NotNow("This sale has been undone already. Nothing was changed.")
        ledger.reverse(key=f"unsell:{key}", entry=fresh.entry, who=who, now=now, reason=why)
        fresh.undone_at = now
        fresh.save(update_fields=["undone_at"])
        if fresh.release is not None and fresh.release.ended_at is not None:
            offering.release_all(fresh.release, f"“{fresh.release}” has ended", who, now)
    return fresh


def in_the_bin() -> dict[tuple[int, str], int]:
    """Return how many pieces of each ware and grade are held online (one statement)."""
    found: dict[tuple[int, str], int] = {}
    held = Hold.objects.filter(purpose=Hold.Purpose.ONLINE, quantity__gt=0)
    for ware_id, grade, quantity in held.values_list("ware_id", "grade", "quantity"):
        found[ware_id, grade] = found.get((ware_id, grade), 0) + quantity
    return found


def _hold_each(
    key: str, lines: Sequence[Line], box: Place, who: User, now: datetime.datetime
) -> None:
    """Hold every piece in the bin by itself, so that it can be sold or come back alone."""
    pieces = [(line.ware_id, line.grade) for line in lines for _ in range(line.quantity)]
    for nth, (ware_id, grade) in enumerate(pieces):
        holds.hold(
            key=f"online-hold:{key}:{nth}",
            ware_id=ware_id,
            grade=grade,
            at=box,
            purpose=Hold.Purpose.ONLINE,
            label=LABEL,
            who=who,
            now=now,
        )


def _chosen(release: EarlyRelease | None, ware: Ware, grade: str, quantity: int) -> list[Hold]:
    """Return the holds that a sale takes: a release's, or the online bin's."""
    if release is None:
        return _in_the_bin(ware, grade, quantity)
    return _of_the_release(release, ware, grade, quantity)


def _refuse_not_open(release: EarlyRelease | None, day: datetime.date) -> None:
    if release is not None and not release.opens_on <= day <= release.closes_on:
        raise NotNow(
            f"“{release}” is open from {dates.day(release.opens_on)} up to and including "
            f"{dates.day(release.closes_on)}, and the sale is of {dates.day(day)}. "
            "Nothing was changed: look at the day of the sale."
        )


def _in_the_bin(ware: Ware, grade: str, quantity: int) -> list[Hold]:
    held = Hold.objects.filter(
        purpose=Hold.Purpose.ONLINE,
        ware=ware,
        grade=grade,
        quantity__gt=0,
        place__kind=Place.Kind.ONLINE,
    )
    chosen = list(held.select_related("place").order_by("pk")[: max(0, quantity)])
    if quantity < 1 or len(chosen) < quantity:
        raise NoFreePiece(
            f"{len(chosen)} of {ware.name} are in the online bin, and {quantity} were named. "
            "Nothing was changed: count the bin, or choose fewer."
        )
    return chosen


def _of_the_release(release: EarlyRelease, ware: Ware, grade: str, quantity: int) -> list[Hold]:
    held = offering.held_for(release, ware, grade)
    chosen = offering.one_place(held, quantity) if quantity > 0 else []
    if not chosen:
        raise NoFreePiece(
            f"“{release}” holds {len(held)} of {ware.name}, and {quantity} were named. Nothing "
            "was changed: sell what stands at one place at a time."
        )
    return chosen


def _out(
    key: str, chosen: Sequence[Hold], sale: ShopSale, who: User, now: datetime.datetime
) -> Entry:
    """Sell the held pieces by name of their holds: nobody else's piece is touched."""
    return ledger.sell(
        key=f"shop:{key}",
        lines=[Line(sale.ware_id, sale.quantity, sale.grade)],
        source=chosen[0].place,
        overrides=chosen,
        who=who,
        now=now,
        reason=f"{sale.get_channel_display()} {sale.reference}".strip(),
    )
