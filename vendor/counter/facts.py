"""Writes a sale: its row, its lines and its payments, with the facts of that moment.

Private to the counter: `vendor.counter.actions` calls it inside the sale's own transaction.
"""

from collections.abc import Sequence
from dataclasses import replace

from django.db.models import Max

from vendor.counter.at import At
from vendor.counter.figures import LineFigures, Method, Reckoning, Terms
from vendor.counter.models import Payment, Sale, SaleLine
from vendor.counter.rung import Bill, Paid, Rung
from vendor.fairs.models import Fair
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger.models import Place
from vendor.ware.models import Grade, PriceTier, Ware


def write_sale(sale: Sale, bill: Bill, at: At, terms: Terms, sums: Reckoning, *, who: User) -> Sale:
    """Write a sale whole: `sale` brings its key, its entry and what else is its own.

    Call in your turn, so that no receipt number is given twice.
    """
    sale.fair, sale.weekend, sale.day = at.weekend.fair, at.weekend, at.selling_day
    sale.number = _next_number(sale.fair)
    sale.sold_at, sale.seller, sale.device, sale.till = (
        at.moment, at.seller or who, at.device, at.till,
    )  # fmt: skip
    sale.currency = the_studio().currency
    sale.tax_rate_ppm, sale.tax_included = terms.tax_rate_ppm, terms.tax_included
    sale.tax_rounding = terms.tax_rounding
    sale.net, sale.tax, sale.total = sums.net, sums.tax, sums.total
    sale.cash_rounding, sale.pieces = sums.cash_rounding, sums.pieces
    sale.discount, sale.discount_reason = sums.discount, bill.discount_reason
    sale.note = bill.note
    sale.save(force_insert=True)
    _write_lines(sale, bill.lines, sums.lines)
    _write_payments(sale, bill.payments, sums)
    return sale


def _next_number(fair: Fair) -> int:
    last = Sale.objects.filter(fair=fair).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1


def _write_lines(sale: Sale, lines: Sequence[Rung], figures: Sequence[LineFigures]) -> None:
    """Write the lines; the pieces that the entry had to find go to the first lines that fit."""
    found: dict[tuple[int, str], int] = {}
    for movement in sale.entry.movements.filter(source__kind=Place.Kind.FOUND):
        found[movement.ware_id, movement.grade] = movement.quantity
    rows = []
    for line, sums in zip(_named(lines, sale.fair), figures, strict=True):
        spot = (line.ware_id, line.grade)
        here = min(found.get(spot, 0), line.quantity)
        found[spot] = found.get(spot, 0) - here
        rows.append(
            SaleLine(
                sale=sale,
                ware_id=line.ware_id,
                grade=line.grade,
                name=line.name,
                tier=line.tier,
                quantity=line.quantity,
                list_price=sums.list_price,
                unit_price=sums.unit_price,
                price_reason=line.reason,
                discount=sums.discount,
                net=sums.net,
                tax=sums.tax,
                total=sums.total,
                found=here,
            )
        )
    SaleLine.objects.bulk_create(rows)


def _named(lines: Sequence[Rung], fair: Fair) -> list[Rung]:
    """Return the lines with the names of their ware and price lists filled in."""
    unnamed = {line.ware_id for line in lines if not line.name}
    names = {ware.pk: ware.name for ware in Ware.objects.named().filter(pk__in=unnamed)}
    tiers = {Grade.FIRST.value: fair.tier.name, Grade.SECOND.value: fair.tier.name}
    if any(line.grade == Grade.SECOND and not line.tier for line in lines):
        seconds = PriceTier.objects.filter(for_seconds=True).first()
        tiers[Grade.SECOND.value] = seconds.name if seconds else fair.tier.name
    return [
        replace(
            line,
            name=line.name or names[line.ware_id][:120],
            tier=line.tier or tiers[line.grade],
        )
        for line in lines
    ]


def _write_payments(sale: Sale, payments: Sequence[Paid], sums: Reckoning) -> None:
    """Write the payments; a tip is handed over with them, and is no part of the sale."""
    Payment.objects.bulk_create(
        Payment(
            sale=sale,
            method=paid.method,
            amount=figures.amount,
            tip=paid.tip,
            tendered=figures.tendered + paid.tip if paid.method is Method.CASH else None,
            change=figures.change,
        )
        for paid, figures in zip(payments, sums.payments, strict=True)
    )
