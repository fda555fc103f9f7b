"""What a piece costs: from dated prices by ware and form to one price, or a refusal.

Pure values in, pure values out; the tables are someone else's. Amounts are whole minor units,
shares are parts per million, and no price is ever zero: a missing price is an error that names
the ware and the tier.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from vendor.house.errors import Refused
from vendor.house.money import MILLION


class PriceMissing(Refused):
    """There is no price for a ware at a tier, nor one to work it out from."""


class Origin(StrEnum):
    """Where a price comes from, in the order in which they are looked for."""

    WARE = "ware"
    FORM = "form"
    SHARE = "share"


@dataclass(frozen=True)
class TierRule:
    """A price tier: its id and name, and the share of the base price that it asks, if any.

    `share_ppm` is None for a tier that has only prices of its own, as the base tier must.
    `is_base` marks the one that shares are taken of, `for_seconds` the one of flawed pieces.
    """

    id: int
    name: str
    share_ppm: int | None = None
    is_base: bool = False
    for_seconds: bool = False

    def __post_init__(self) -> None:
        if self.is_base and self.share_ppm is not None:
            raise ValueError("The base tier can't be a share of itself.")


@dataclass(frozen=True)
class DatedPrice:
    """A price of a form, or of one ware of it, at a tier from a day on, in minor units above 0.

    Exactly one of `ware_id` and `form_id` is set.
    """

    tier_id: int
    amount: int
    from_date: date
    ware_id: int | None = None
    form_id: int | None = None

    def __post_init__(self) -> None:
        if (self.ware_id is None) == (self.form_id is None):
            raise ValueError("A price is either a ware's or a form's.")
        if self.amount <= 0:
            raise ValueError("A price is above zero.")


@dataclass(frozen=True)
class Price:
    """A price in minor units, where it comes from, and the day from which that holds.

    For a share of the base price, the day is the base price's.
    """

    amount: int
    origin: Origin
    from_date: date


@dataclass(frozen=True)
class PriceEnding:
    """How worked-out prices end: on `ending` within every `step`, both in minor units.

    A step of 100 with an ending of 50 gives 0.50, 1.50, 2.50 …; 0 ≤ ending < step.
    """

    step: int
    ending: int

    def __post_init__(self) -> None:
        if not 0 <= self.ending < self.step:
            raise ValueError("The price ending lies below the price step, from zero up.")

    def nearest(self, numerator: int, denominator: int) -> int:
        """Return the price with this ending that is nearest to numerator ÷ denominator.

        Halfway between two, the higher one. Never below the smallest that is above zero. The
        exact quotient is rounded once.
        """
        twice_past = 2 * (numerator - self.ending * denominator) + self.step * denominator
        steps = twice_past // (2 * self.step * denominator)
        return max(self.ending + steps * self.step, self.ending or self.step)


class PriceBook:
    """All prices as they stand on one day."""

    def __init__(
        self,
        *,
        prices: Iterable[DatedPrice],
        tiers: Iterable[TierRule],
        ending: PriceEnding,
        on: date,
        ware_names: Mapping[int, str],
    ) -> None:
        """Keep of `prices` the latest that has begun by the day `on`, by ware, form and tier.

        `ware_names` serves the refusals. Raises `ValueError` for two prices from the same day.
        """
        self.on = on
        self._ending = ending
        self._tiers = {tier.id: tier for tier in tiers}
        self._base = next((tier for tier in self._tiers.values() if tier.is_base), None)
        self._seconds = next((tier for tier in self._tiers.values() if tier.for_seconds), None)
        self._ware_names = ware_names
        self._by_ware: dict[tuple[int, int], DatedPrice] = {}
        self._by_form: dict[tuple[int, int], DatedPrice] = {}
        for price in prices:
            if price.from_date <= on:
                self._keep(price)

    def price(self, ware_id: int, form_id: int, tier: int) -> int:
        """Return what a ware costs at a tier; refuses (`PriceMissing`) rather than guess."""
        found = self.find(ware_id, form_id, tier)
        if found is None:
            raise PriceMissing(self._what_is_missing(ware_id, tier))
        return found.amount

    def second_price(self, ware_id: int, form_id: int) -> int:
        """Return what a flawed piece of a ware costs; refuses (`PriceMissing`) like `price`."""
        if self._seconds is None:
            raise PriceMissing(
                f"“{self._name(ware_id)}” has no price as a second, because no price list is for "
                "seconds. Nothing was changed. Mark one list as the one for seconds."
            )
        return self.price(ware_id, form_id, self._seconds.id)

    def find(self, ware_id: int, form_id: int, tier: int) -> Price | None:
        """Return a ware's price at a tier with its origin, or None where there is none.

        The tier's own price of the ware, else of its form, else the tier's share of the base
        price (again of the ware, else of its form), rounded to the price ending.
        """
        own = self._own(ware_id, form_id, tier)
        share = self._tiers[tier].share_ppm
        if own is not None or share is None or self._base is None:
            return own
        base = self._own(ware_id, form_id, self._base.id)
        if base is None:
            return None
        amount = self._ending.nearest(base.amount * share, MILLION)
        return Price(amount, Origin.SHARE, base.from_date)

    def _own(self, ware_id: int, form_id: int, tier: int) -> Price | None:
        """Return the price that was entered for a tier, of the ware before its form."""
        if found := self._by_ware.get((ware_id, tier)):
            return Price(found.amount, Origin.WARE, found.from_date)
        if found := self._by_form.get((form_id, tier)):
            return Price(found.amount, Origin.FORM, found.from_date)
        return None

    def _keep(self, price: DatedPrice) -> None:
        """Keep a price that has begun, if it is later than the one kept so far."""
        if price.ware_id is not None:
            kept, key = self._by_ware, (price.ware_id, price.tier_id)
        elif price.form_id is not None:
            kept, key = self._by_form, (price.form_id, price.tier_id)
        rival = kept.get(key)
        if rival is not None and rival.from_date == price.from_date:
            raise ValueError(f"Two prices from the same day: {rival} and {price}.")
        if rival is None or rival.from_date < price.from_date:
            kept[key] = price

    def _name(self, ware_id: int) -> str:
        """Return what to call a ware in a refusal."""
        return self._ware_names.get(ware_id, f"ware {ware_id}")

    def _what_is_missing(self, ware_id: int, tier: int) -> str:
        """Return the sentence that refuses a ware without a price."""
        rule = self._tiers[tier]
        where = f"“{rule.name}”"
        if rule.share_ppm is not None and self._base is not None:
            where += f" or “{self._base.name}”"
        return (
            f"“{self._name(ware_id)}” has no price at the tier “{rule.name}” on "
            f"{self.on.isoformat()}. Nothing was changed. Give the ware or its form a price at "
            f"{where}."
        )
