"""Price lists and prices: what is written of them. A price that was asked is never rewritten."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from vendor.house import changes
from vendor.house.errors import Refused
from vendor.house.models import Change, User
from vendor.house.turns import take_turn
from vendor.ware.errors import PastPrice
from vendor.ware.models import Price, PriceTier


@dataclass(frozen=True, slots=True)
class NewPrice:
    """What one ware, or one whole form, is to cost, in minor units; exactly one key is set."""

    amount: int
    ware_id: int | None = None
    form_id: int | None = None


def save_tier(*, tier: PriceTier, key: str = "", who: User, now: datetime.datetime) -> PriceTier:
    """Add a price list, once by its key, or change one."""
    with transaction.atomic():
        take_turn()
        tier.name = " ".join(tier.name.split())
        if (made := changes.made_before(tier, key)) is not None:
            return made
        tier.full_clean()
        changes.keep(tier, who=who, now=now, key=key)
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
    written, differences = [], []
    with transaction.atomic():
        take_turn()
        for price in prices:
            before = _in_force(tier, price, from_date)
            if before is not None and before.amount == price.amount:
                continue
            was = changes.amount(before.amount) if before is not None else ""
            row = _row(tier, price, from_date, before)
            row.set_by, row.set_at = who, now
            row.full_clean()
            row.save()
            written.append(row)
            label = f"{row.ware or row.form} from {from_date.isoformat()}"
            differences.append((label, was, changes.amount(row.amount)))
        if written:
            changes.note(tier, Change.What.CHANGED, differences, who=who, now=now)
    return written


def _in_force(tier: PriceTier, price: NewPrice, on: datetime.date) -> Price | None:
    """Return the price that is asked on a day, or None."""
    target = {"ware": price.ware_id} if price.ware_id else {"form": price.form_id}
    found = Price.objects.filter(tier=tier, **target).in_force(on)
    return found.select_related("ware__form", "ware__finish", "form").order_by("-from_date").first()


def _row(tier: PriceTier, price: NewPrice, from_date: datetime.date, before: Price | None) -> Price:
    """Return the row that makes a price hold from a day on: the day's own, or a new one."""
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
