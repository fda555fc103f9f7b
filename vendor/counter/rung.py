"""What is rung up, as plain values, and what it comes to. Writes nothing."""

from collections.abc import Sequence
from dataclasses import dataclass

from vendor.counter.amounts import reckon
from vendor.counter.figures import NO_DISCOUNT, Discount, Item, Method, Reckoning, Tender, Terms
from vendor.fairs.models import Fair
from vendor.house.tax import TaxRounding
from vendor.ware.models import Grade


@dataclass(frozen=True, kw_only=True)
class Rung:
    """One line to be sold: pieces of one ware and grade, at a price (minor units a piece).

    `unit_price` is what was asked for where that is not the list price, with the `reason`.
    An empty `name` or `tier` stands for what the ware and its price list are called now.
    """

    ware_id: int
    list_price: int
    quantity: int = 1
    grade: str = Grade.FIRST
    unit_price: int | None = None
    discount: Discount = NO_DISCOUNT
    reason: str = ""
    name: str = ""
    tier: str = ""


@dataclass(frozen=True, kw_only=True)
class Paid:
    """One payment: which part of the total it settles (None: the rest), and a tip on top.

    `tendered` is the cash that was handed over, None for just what is due.
    """

    method: Method
    settles: int | None = None
    tendered: int | None = None
    tip: int = 0


@dataclass(frozen=True, kw_only=True)
class Bill:
    """What is sold and how it is paid; under the fair's own terms unless others are given."""

    lines: Sequence[Rung]
    payments: Sequence[Paid]
    discount: Discount = NO_DISCOUNT
    discount_reason: str = ""
    note: str = ""
    terms: Terms | None = None


def terms_of(fair: Fair) -> Terms:
    """Return a fair's tax and its smallest step of cash, as they are now."""
    return Terms(
        tax_rate_ppm=fair.tax_rate_ppm,
        tax_included=fair.tax_included,
        tax_rounding=TaxRounding(fair.tax_rounding),
        cash_step=fair.cash_step,
    )


def reckoned(
    lines: Sequence[Rung],
    terms: Terms,
    payments: Sequence[Paid] = (),
    discount: Discount = NO_DISCOUNT,
) -> Reckoning:
    """Return every figure of a sale of these lines; refuses what can't be reckoned."""
    items = [
        Item(
            list_price=line.list_price,
            quantity=line.quantity,
            unit_price=line.unit_price,
            discount=line.discount,
        )
        for line in lines
    ]
    tenders = [
        Tender(
            method=paid.method,
            amount=paid.settles,
            tendered=None if paid.tendered is None else paid.tendered - paid.tip,
        )
        for paid in payments
    ]
    return reckon(items, terms, discount=discount, payments=tenders)
