"""What every step of the demonstration season needs at hand."""

import datetime
from dataclasses import dataclass

from vendor.firings.models import Kiln
from vendor.house import clock
from vendor.house.models import Studio, User
from vendor.ware.models import Grade, PriceTier, Ware
from vendor.ware.pricing import PriceBook


@dataclass(frozen=True, slots=True)
class Hands:
    """What everything here needs at hand."""

    studio: Studio
    owner: User
    ware: dict[str, Ware]
    prices: PriceBook
    kilns: list[Kiln]

    def price(self, code: str, grade: str) -> int:
        """Return what a piece costs at the fair, in minor units."""
        each = self.ware[code]
        if grade == Grade.SECOND:
            return self.prices.second_price(each.pk, each.form_id)
        base = PriceTier.objects.get(is_base=True)
        return self.prices.price(each.pk, each.form_id, base.pk)

    def at(self, day: datetime.date, time: datetime.time) -> datetime.datetime:
        """Return the moment of a wall-clock time at the studio."""
        return clock.at(day, time, self.studio)
