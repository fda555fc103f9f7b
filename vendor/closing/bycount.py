"""Selling by count: pieces that are missing and were not rung up become a sale at the tag price."""

import datetime
from collections.abc import Sequence

from django.db import transaction

from vendor.closing.counting import refuse_counting
from vendor.closing.queries import stall_lines
from vendor.counter import actions as counter
from vendor.counter.at import At
from vendor.counter.figures import Method
from vendor.counter.models import Sale
from vendor.counter.rung import Bill, Paid, Rung
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Weekend
from vendor.fairs.prices import at_the_fair
from vendor.house import clock
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger.actions import Line
from vendor.ledger.posting import take_turn
from vendor.ware.models import Ware


def sell_by_count(
    *,
    key: str,
    weekend: Weekend,
    lines: Sequence[Line],
    method: str,
    till: int = FIRST_TILL,
    day: datetime.date | None = None,
    who: User,
    now: datetime.datetime,
) -> Sale:
    """Enter pieces that were found missing as sold, at the fair's price, once by the key.

    Dated at the end of the `day`, or of the weekend's last selling day that has begun, and taken at
    the cash box `till`. Marked as by count.
    Refused: by anybody but the owner, for a closed weekend, and for ware without a price.
    """
    if not who.is_owner:
        raise Refused("Selling by count is the owner's. Nothing was changed: tell the owner.")
    with transaction.atomic():
        take_turn()
        before = Sale.objects.filter(key=key).first()
        if before is not None:
            return before
        refuse_counting(weekend)
        _refuse_more_than_missing(weekend, lines)
        sold_at = _end_of_selling(weekend, day, now)
        return _sell(key, weekend, lines, method, till, sold_at, who, now)


def _refuse_more_than_missing(weekend: Weekend, lines: Sequence[Line]) -> None:
    """Refuse what a sale that came in meanwhile, or another page, has explained already."""
    standing = {(each.ware.pk, each.grade): each for each in stall_lines(weekend)}
    for line in lines:
        now = standing.get((line.ware_id, line.grade))
        missing = now.missing if now is not None else 0
        if line.quantity > missing:
            raise Refused(
                f"{missing} of {now.name if now else 'it'} are missing by now, and "
                f"{line.quantity} were to be sold by count. Nothing was changed: look at the "
                "difference again."
            )


def _sell(
    key: str,
    weekend: Weekend,
    lines: Sequence[Line],
    method: str,
    till: int,
    sold_at: datetime.datetime,
    who: User,
    now: datetime.datetime,
) -> Sale:
    """Ring the pieces up at the fair's price of the day they count for."""
    ware = Ware.objects.named().in_bulk([line.ware_id for line in lines])
    prices = at_the_fair(weekend.fair, ware.values(), on=clock.day_of(sold_at, the_studio()))
    rung = []
    for line in lines:
        price = prices.get((line.ware_id, line.grade))
        if price is None:
            raise Refused(
                f"{ware[line.ware_id]} has no price at {weekend.fair}. Nothing was changed: "
                "give it one, or say another reason."
            )
        rung.append(
            Rung(ware_id=line.ware_id, quantity=line.quantity, grade=line.grade, list_price=price)
        )
    return counter.ring_up(
        key=key, at=At(weekend=weekend, moment=sold_at, till=till), who=who, now=now,
        by_count=True,
        bill=Bill(lines=rung, payments=[Paid(method=Method(method))], note="By count"),
    )  # fmt: skip


def _end_of_selling(
    weekend: Weekend, day: datetime.date | None, now: datetime.datetime
) -> datetime.datetime:
    """Return when a selling day closed, else the last that has begun; now while it is open."""
    studio = the_studio()
    begun = weekend.days.filter(day__lte=clock.day_of(now, studio)).order_by("-day")
    last = (begun if day is None else begun.filter(day=day)).first()
    if last is None:
        raise Refused(f"{weekend} has not begun yet. Nothing was changed.")
    return min(now, clock.at(last.day, last.closes, studio))
