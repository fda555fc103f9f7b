"""Reads of what the studio makes, with its prices: typed rows, a fixed number of statements."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from vendor.house.models import Studio
from vendor.ware.models import Form, Price, PriceTier, Ware
from vendor.ware.queries import price_book


@dataclass(frozen=True, slots=True)
class CatalogueRow:
    """One ware with its base price (minor units; None where there is none)."""

    ware: Ware
    price: int | None

    @property
    def state(self) -> str:
        """Whether it is still made, and whether there is only one."""
        if self.ware.retired:
            return "retired"
        return "one of a kind" if self.ware.one_of_a_kind else ""


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One ware with its price in every list: minor units by “t” and the list's key."""

    ware: Ware
    prices: dict[str, int | None]


def catalogue(*, on: datetime.date, studio: Studio) -> list[CatalogueRow]:
    """Return all ware with the base price of a day (four statements)."""
    book = price_book(on=on, studio=studio)
    tier = next((each for each in PriceTier.objects.all() if each.is_base), None)
    rows = []
    for ware in Ware.objects.named():
        found = book.find(ware.pk, ware.form_id, tier.pk) if tier else None
        rows.append(CatalogueRow(ware, found.amount if found else None))
    return rows


def price_rows(tiers: Sequence[PriceTier], *, on: datetime.date, studio: Studio) -> list[PriceRow]:
    """Return all current ware with its price in every list on a day (four statements)."""
    book = price_book(on=on, studio=studio)
    rows = []
    for ware in Ware.objects.current().named():
        found = {tier.pk: book.find(ware.pk, ware.form_id, tier.pk) for tier in tiers}
        prices = {f"t{key}": price.amount if price else None for key, price in found.items()}
        rows.append(PriceRow(ware, prices))
    return rows


def own_prices(tier: PriceTier, *, on: datetime.date) -> dict[tuple[str, int], int]:
    """Return the prices that were entered in one list and hold on a day (one statement).

    Keyed by (“form” or “ware”, key), in minor units.
    """
    found: dict[tuple[str, int], int] = {}
    for price in Price.objects.filter(tier=tier).in_force(on).order_by("from_date"):
        key = ("ware", price.ware_id) if price.ware_id else ("form", price.form_id)
        assert key[1] is not None
        found[key[0], key[1]] = price.amount
    return found


def price_history(*, ware: Ware | None = None, form: Form | None = None) -> list[Price]:
    """Return every price of a ware and its form, or of a form, the latest first (one statement)."""
    prices = Price.objects.select_related("tier", "set_by", "ware__form", "ware__finish", "form")
    if ware is not None:
        prices = prices.filter(ware=ware) | prices.filter(form=ware.form_id)
    else:
        prices = prices.filter(form=form)
    return list(prices.order_by("-from_date", "tier__name", "-id"))
