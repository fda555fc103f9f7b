"""What a piece costs at a fair on a day: firsts by its own list, seconds by the list for them."""

import datetime
from collections.abc import Iterable

from vendor.fairs.models import Fair
from vendor.house.studio import the_studio
from vendor.ware.models import Grade, Ware
from vendor.ware.pricing import PriceMissing
from vendor.ware.queries import price_book


def at_the_fair(
    fair: Fair, wares: Iterable[Ware], *, on: datetime.date
) -> dict[tuple[int, str], int]:
    """Return prices in minor units by ware and grade, without those that have none.

    A fixed number of statements, however many wares.
    """
    book = price_book(on=on, studio=the_studio())
    found: dict[tuple[int, str], int] = {}
    for ware in wares:
        first = book.find(ware.pk, ware.form_id, fair.tier_id)
        if first is not None:
            found[ware.pk, Grade.FIRST.value] = first.amount
        try:
            found[ware.pk, Grade.SECOND.value] = book.second_price(ware.pk, ware.form_id)
        except PriceMissing:
            continue
    return found
