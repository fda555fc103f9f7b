"""The one reckoning of a sale: from what was rung up to every figure on the receipt.

Pure whole numbers in, pure whole numbers out, so that the server, the page at the stall and the
tests can all be held to the same figures (`fixtures/reckonings.json`). Amounts are minor units of
one currency, rates are parts per million. Money is rounded half up at named points only:

1. each line's discount that is a rate, on quantity × unit price;
2. the whole sale's discount that is a rate, on what the lines then come to; it is laid on the
   lines to the minor unit, in proportion (`vendor.house.split`);
3. the tax, by line or by receipt, added or taken out (`vendor.house.tax`);
4. the part that is paid in cash, to the smallest coins (`vendor.house.cash`).

Largest intermediate: an amount below 10^12 times another, or times 2 × 10^6; in JavaScript that
needs BigInt.
"""

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import TypeVar

from vendor.counter.figures import (
    MAX_QUANTITY,
    NO_DISCOUNT,
    AmountOutOfRange,
    Discount,
    DiscountOutOfRange,
    Item,
    LineFigures,
    Method,
    Overpaid,
    PaymentFigures,
    PaymentUnclear,
    QuantityOutOfRange,
    Reckoning,
    Tender,
    Terms,
)
from vendor.house.cash import change_due, round_cash
from vendor.house.money import MAX_MINOR, MILLION, share_of
from vendor.house.split import split
from vendor.house.tax import Taxed, tax_lines

_Figures = TypeVar("_Figures", LineFigures, PaymentFigures, Reckoning)


def reckon(
    items: Sequence[Item],
    terms: Terms,
    *,
    discount: Discount = NO_DISCOUNT,
    payments: Sequence[Tender] = (),
) -> Reckoning:
    """Return every figure of a sale; with too few payments yet, `left` is above zero.

    Refuses amounts and quantities out of range, a discount larger than what it is taken off,
    payments of more than the total, and cash handed over that is less than its part. A sale
    without items comes to zero.
    """
    for item in items:
        _check(item)
    prices = [item.quantity * _unit_price(item) for item in items]
    if sum(prices) > MAX_MINOR or sum(i.quantity * i.list_price for i in items) > MAX_MINOR:
        raise AmountOutOfRange
    off_lines = [
        _discount_on(price, item.discount) for price, item in zip(prices, items, strict=True)
    ]
    asked = [price - off for price, off in zip(prices, off_lines, strict=True)]
    off_sale = split(_discount_on(sum(asked), discount), asked)
    charged = [price - off for price, off in zip(asked, off_sale, strict=True)]
    taxed = tax_lines(
        charged, terms.tax_rate_ppm, included=terms.tax_included, by=terms.tax_rounding
    )
    lines = tuple(map(_line, items, off_lines, off_sale, taxed))
    total = sum(line.total for line in lines)
    if total > MAX_MINOR:
        raise AmountOutOfRange
    return _totals(lines, _settle(payments, total, terms), terms)


def mirrored(sale: Reckoning) -> Reckoning:
    """Return the sale taken back whole: every amount and quantity below zero, prices as they were.

    Each payment goes back the way it came, without the change: sale and mirror sum to nothing,
    the cash rounding included.
    """
    lines = tuple(_negative(line, keeping=("list_price", "unit_price")) for line in sale.lines)
    payments = tuple(
        replace(_negative(payment, keeping=("method",)), tendered=-payment.amount, change=0)
        for payment in sale.payments
    )
    sums = _negative(sale, keeping=("lines", "payments"))
    return replace(sums, lines=lines, payments=payments)


def _check(item: Item) -> None:
    """Refuse a line whose numbers are out of range."""
    if not 1 <= item.quantity <= MAX_QUANTITY:
        raise QuantityOutOfRange
    for price in (item.list_price, _unit_price(item)):
        if not 0 <= price <= MAX_MINOR:
            raise AmountOutOfRange


def _unit_price(item: Item) -> int:
    """Return what is asked for a piece."""
    return item.list_price if item.unit_price is None else item.unit_price


def _discount_on(price: int, discount: Discount) -> int:
    """Return what a discount takes off a price; refuses more than all of it."""
    if not 0 <= discount.rate_ppm <= MILLION or discount.amount < 0:
        raise DiscountOutOfRange
    off = share_of(price, discount.rate_ppm) + discount.amount
    if off > price:
        raise DiscountOutOfRange
    return off


def _line(item: Item, off_line: int, off_sale: int, taxed: Taxed) -> LineFigures:
    """Return a line's figures from its parts."""
    return LineFigures(
        quantity=item.quantity,
        list_price=item.list_price,
        unit_price=_unit_price(item),
        list_total=item.quantity * item.list_price,
        price_total=item.quantity * _unit_price(item),
        line_discount=off_line,
        sale_discount=off_sale,
        discount=off_line + off_sale,
        net=taxed.net,
        tax=taxed.tax,
        total=taxed.total,
    )


def _settle(payments: Sequence[Tender], total: int, terms: Terms) -> tuple[PaymentFigures, ...]:
    """Return the payments' figures; refuses what is unclear, and more than the total."""
    fixed = sum(payment.amount or 0 for payment in payments)
    rests = sum(payment.amount is None for payment in payments)
    cash = sum(payment.method == Method.CASH for payment in payments)
    if rests > 1 or cash > 1 or any((payment.amount or 0) < 0 for payment in payments):
        raise PaymentUnclear
    if fixed > total:
        raise Overpaid(fixed - total)
    return tuple(
        _payment(payment, total - fixed if payment.amount is None else payment.amount, terms)
        for payment in payments
    )


def _payment(payment: Tender, settled: int, terms: Terms) -> PaymentFigures:
    """Return the figures of a payment that settles this much."""
    is_cash = payment.method == Method.CASH
    if payment.tendered is not None and not (is_cash and 0 <= payment.tendered <= MAX_MINOR):
        raise PaymentUnclear
    amount = round_cash(settled, terms.cash_step) if is_cash else settled
    tendered = amount if payment.tendered is None else payment.tendered
    return PaymentFigures(
        method=payment.method,
        settled=settled,
        rounding=amount - settled,
        amount=amount,
        tendered=tendered,
        change=change_due(amount, tendered),
    )


def _totals(
    lines: tuple[LineFigures, ...], payments: tuple[PaymentFigures, ...], terms: Terms
) -> Reckoning:
    """Return the sums of a sale's lines and payments."""
    total = sum(line.total for line in lines)
    paid = sum(payment.settled for payment in payments)
    return Reckoning(
        lines=lines,
        pieces=sum(line.quantity for line in lines),
        list_total=sum(line.list_total for line in lines),
        price_total=sum(line.price_total for line in lines),
        line_discount=sum(line.line_discount for line in lines),
        sale_discount=sum(line.sale_discount for line in lines),
        discount=sum(line.discount for line in lines),
        net=sum(line.net for line in lines),
        tax=sum(line.tax for line in lines),
        total=total,
        payments=payments,
        paid=paid,
        cash_rounding=sum(payment.rounding for payment in payments),
        received=sum(payment.amount for payment in payments),
        left=total - paid,
        left_in_cash=round_cash(total - paid, terms.cash_step),
    )


def _negative(figures: _Figures, *, keeping: Sequence[str]) -> _Figures:
    """Return figures with every number's sign turned, but for those that are kept."""
    turned = {
        field.name: -getattr(figures, field.name)
        for field in fields(figures)
        if field.name not in keeping
    }
    return replace(figures, **turned)
