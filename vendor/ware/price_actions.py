"""Price lists and prices: what is written of them. A price that was asked is never rewritten."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ware.errors import PastPrice
from vendor.ware.models import Price, PriceTier


@dataclass(frozen=True, slots=True)
class NewPrice:
    """What one ware, or one whole form, is to cost, in minor units; exactly one key is set."""

    amount: int
    ware_id: int | None = None
    form_id: int | None = None


def save_tier(*, tier: PriceTier) -> PriceTier:
    """Add a price list, or change one."""
    with transaction.atomic():
        tier.name = " ".join(tier.name.split())
        tier.full_clean()
        tier.save()
    return tier


def set_prices(
    *,
    tier: PriceTier,
    prices: Sequence[NewPrice],
    from_date: datetime.date,
    today: datetime.date,
    who: User,
    now: datetime.datetime,
) -> list[Price]:
    """Set prices in a list from a day on, today or later; returns those that changed something.

    A price that is asked already is passed over, so that sending it twice changes nothing. One
    set for the same day before is replaced: its day is not over. PastPrice for an earlier day.
    """
    if from_date < today:
        raise PastPrice(
            f"{from_date} is over, and what was asked then is kept. Nothing was changed: "
            "let the new price begin today or later."
        )
    if len({(price.ware_id, price.form_id) for price in prices}) < len(prices):
        raise Refused("One price was given twice. Nothing was changed.")
    written = []
    with transaction.atomic():
        # One writer of a list at a time: what it read still holds when it writes.
        PriceTier.objects.select_for_update().get(pk=tier.pk)
        for price in prices:
            row = _written(tier, price, from_date)
            if row is not None:
                row.set_by, row.set_at = who, now
                row.full_clean()
                row.save()
                written.append(row)
    return written


def _written(tier: PriceTier, price: NewPrice, from_date: datetime.date) -> Price | None:
    """Return the row that makes a price hold from a day on, or None where it holds already."""
    target = {"ware": price.ware_id} if price.ware_id else {"form": price.form_id}
    before = (
        Price.objects.filter(tier=tier, **target).in_force(from_date).order_by("-from_date").first()
    )
    if before is not None and before.amount == price.amount:
        return None
    if before is not None and before.from_date == from_date:
        before.amount = price.amount
        return before
    return Price(
        tier=tier,
        ware_id=price.ware_id,
        form_id=price.form_id,
        amount=price.amount,
        from_date=from_date,
    )
