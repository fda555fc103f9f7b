"""Making bundles and ending them."""

import datetime

from django.db import transaction

from vendor.counter.bundles import Bundle
from vendor.counter.errors import NotYours
from vendor.fairs.models import Fair
from vendor.house import changes
from vendor.house.models import User
from vendor.house.turns import take_turn
from vendor.ware.models import Form, Ware


def make_bundle(
    *,
    key: str,
    quantity: int,
    price: int,
    from_date: datetime.date,
    to_date: datetime.date | None = None,
    form: Form | None = None,
    ware: Ware | None = None,
    fair: Fair | None = None,
    who: User,
    now: datetime.datetime,
) -> Bundle:
    """Make a rule: so many firsts of a form or of a ware for one price, from a day on.

    Once by its key; `price` is for all of them, in minor units. Only the owner makes prices
    (NotYours).
    """
    _refuse_helpers(who)
    with transaction.atomic():
        take_turn()
        before = Bundle.objects.filter(key=key).first()
        if before is not None:
            return before
        rule = Bundle(
            key=key, form=form, ware=ware, fair=fair, quantity=quantity, price=price,
            from_date=from_date, to_date=to_date, made_by=who, made_at=now,
        )  # fmt: skip
        rule.full_clean()
        rule.save()
    return rule


def end_bundle(*, bundle: Bundle, last: datetime.date, who: User, now: datetime.datetime) -> Bundle:
    """Let a bundle hold through its last day and no longer; one that has not begun goes at once.

    Sales that it was part of keep it as their discount.
    """
    _refuse_helpers(who)
    with transaction.atomic():
        take_turn()
        fresh = Bundle.objects.filter(pk=bundle.pk).first()
        if fresh is None:
            return bundle
        if last < fresh.from_date:
            changes.take_away(fresh, who=who, now=now)
            return bundle
        fresh.to_date = last
        fresh.full_clean()
        changes.keep(fresh, who=who, now=now)
    return fresh


def _refuse_helpers(who: User) -> None:
    if not who.is_owner:
        raise NotYours("Only the owner makes and ends prices. Nothing was changed.")
