"""What each piece costs at a fair on a day: a first by the fair's list, a second by its own."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from vendor.fairs.models import Fair
from vendor.house.models import Studio
from vendor.ware.models import Grade, PriceTier, Ware
from vendor.ware.pricing import PriceMissing
from vendor.ware.queries import price_book

Piece = tuple[int, str]
"""A ware's primary key and a grade."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A price in minor units, and the name of the list that it stands in."""

    amount: int
    tier: str


def listed(
    fair: Fair, wares: Iterable[Ware], *, on: datetime.date, studio: Studio
) -> dict[Piece, Listed]:
    """Return the prices that there are, by ware and grade (four statements).

    A piece without a price is left out: it can't be sold until it has one.
    """
    book = price_book(on=on, studio=studio)
    seconds = PriceTier.objects.filter(for_seconds=True).first()
    found: dict[Piece, Listed] = {}
    for ware in wares:
        price = book.find(ware.pk, ware.form_id, fair.tier_id)
        if price is not None:
            found[ware.pk, Grade.FIRST.value] = Listed(price.amount, fair.tier.name)
        if seconds is None:
            continue
        try:
            amount = book.second_price(ware.pk, ware.form_id)
        except PriceMissing:
            continue
        found[ware.pk, Grade.SECOND.value] = Listed(amount, seconds.name)
    return found
