"""Reads across the ware's tables: prices as they stand on a day."""

import datetime

from vendor.house.models import Studio
from vendor.ware.models import Price, PriceTier, Ware
from vendor.ware.pricing import DatedPrice, PriceBook, PriceEnding, TierRule


def price_book(*, on: datetime.date, studio: Studio) -> PriceBook:
    """Return all prices as they stand on a day (three statements)."""
    prices = Price.objects.in_force(on).values_list(
        "tier_id", "amount", "from_date", "ware_id", "form_id"
    )
    tiers = PriceTier.objects.all()
    names = Ware.objects.select_related("form", "finish")
    return PriceBook(
        prices=[DatedPrice(*row) for row in prices],
        tiers=[
            TierRule(
                id=tier.pk,
                name=tier.name,
                share_ppm=tier.share_ppm,
                is_base=tier.is_base,
                for_seconds=tier.for_seconds,
            )
            for tier in tiers
        ],
        ending=PriceEnding(studio.price_step, studio.price_ending),
        on=on,
        ware_names={ware.pk: ware.name for ware in names},
    )
