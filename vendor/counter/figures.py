"""What is rung up, what comes of it, and why it may be refused: the shapes of a reckoning.

Amounts are minor units of one currency, rates are parts per million, quantities whole pieces.
`vendor.counter.amounts` computes the one from the other.
"""

from dataclasses import dataclass
from enum import StrEnum

from vendor.house.errors import Refused
from vendor.house.money import MILLION
from vendor.house.tax import TaxRounding

MAX_QUANTITY = 9_999
"""More pieces than this on one line are a slip of the keys."""


class Method(StrEnum):
    """How money changes hands."""

    CASH = "cash"
    CARD = "card"
    OTHER = "other"
    DEPOSIT = "deposit"
    EXCHANGE = "exchange"


AT_HAND = (Method.CASH, Method.CARD, Method.OTHER)
"""The ways in which money changes hands now; the others were paid before."""


@dataclass(frozen=True)
class Discount:
    """What is taken off a line or a sale: a rate of it, an amount, or (rarely) both together."""

    amount: int = 0
    rate_ppm: int = 0


NO_DISCOUNT = Discount()


@dataclass(frozen=True, kw_only=True)
class Item:
    """One line as rung up. `unit_price` is the one-off price a piece, None for the list price.

    The discount is for the whole line, not for each piece.
    """

    list_price: int
    quantity: int = 1
    unit_price: int | None = None
    discount: Discount = NO_DISCOUNT


@dataclass(frozen=True, kw_only=True)
class Terms:
    """The rules of the place of sale: its tax, and its smallest step of cash (1: none)."""

    tax_rate_ppm: int
    tax_included: bool
    tax_rounding: TaxRounding
    cash_step: int = 1

    def __post_init__(self) -> None:
        if not 0 <= self.tax_rate_ppm <= MILLION or self.cash_step < 1:
            raise ValueError("A tax rate is 0 to 100 %, and a step of cash at least 1.")


@dataclass(frozen=True, kw_only=True)
class Tender:
    """One payment as offered: how, and which part of the total it settles (None: the rest).

    `tendered` is the cash that the customer handed over, None for just what is due.
    """

    method: Method
    amount: int | None = None
    tendered: int | None = None


@dataclass(frozen=True, kw_only=True)
class LineFigures:
    """Every figure of a line; `price_total` - `discount` is what it costs before added tax.

    `list_total` and `price_total` are quantity × list price and × unit price; `sale_discount` is
    the line's part of the whole sale's discount; net + tax = total.
    """

    quantity: int
    list_price: int
    unit_price: int
    list_total: int
    price_total: int
    line_discount: int
    sale_discount: int
    discount: int
    net: int
    tax: int
    total: int


@dataclass(frozen=True, kw_only=True)
class PaymentFigures:
    """Every figure of a payment: settled + rounding = amount, amount + change = tendered.

    `settled` is the part of the sale's total that it covers, `amount` what stays with the seller
    (or, below zero, goes back to the customer). Rounding and change are zero except for cash.
    """

    method: Method
    settled: int
    rounding: int
    amount: int
    tendered: int
    change: int


@dataclass(frozen=True, kw_only=True)
class Reckoning:
    """Every figure of a sale. Each is the sum of its lines' or of its payments'.

    total = paid + left, where `paid` is what the payments settle; received = paid + cash_rounding
    is what the seller then holds. `left_in_cash` is what `left` comes to if it is paid in cash.
    """

    lines: tuple[LineFigures, ...]
    pieces: int
    list_total: int
    price_total: int
    line_discount: int
    sale_discount: int
    discount: int
    net: int
    tax: int
    total: int
    payments: tuple[PaymentFigures, ...]
    paid: int
    cash_rounding: int
    received: int
    left: int
    left_in_cash: int


class AmountOutOfRange(Refused):
    """A price below zero, or an amount that no sale at a stall comes to."""

    def __init__(self) -> None:
        super().__init__(
            "A price or a total is below zero or far too large. The sale is still open: look at "
            "its prices and quantities for a slip of the keys."
        )


class QuantityOutOfRange(Refused):
    """A line of no pieces, or of more than `MAX_QUANTITY`."""

    def __init__(self) -> None:
        super().__init__(
            f"A line sells from 1 to {MAX_QUANTITY} pieces. The sale is still open: mend the "
            "quantity, or take the line off."
        )


class DiscountOutOfRange(Refused):
    """A discount below zero, or larger than what it is taken off."""

    def __init__(self) -> None:
        super().__init__(
            "A discount is below zero or larger than what it is taken off. The sale is still "
            "open: make the discount smaller."
        )


class Overpaid(Refused):
    """The payments settle `excess` minor units more than the total."""

    def __init__(self, excess: int) -> None:
        super().__init__(
            "The payments come to more than the sale. The sale is still open: lower one of them; "
            "cash that is given back belongs to the change."
        )
        self.excess = excess


class PaymentUnclear(Refused):
    """Payments that can be understood in more than one way, or in none."""

    def __init__(self) -> None:
        super().__init__(
            "The payments are not clear. The sale is still open: enter each with its amount, at "
            "most one of them as the rest, at most one in cash, and change only for cash."
        )
