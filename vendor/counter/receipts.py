"""A sale as a receipt: in words, for the screen, for paper and as plain text.

A gift receipt has no prices. Nothing is computed here that is not already in the sale.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from vendor.counter.models import Payment, Sale
from vendor.counter.ways import IN_WORDS, Way
from vendor.house import written
from vendor.house.models import Studio
from vendor.house.money import Currency, format_amount, format_number, format_rate
from vendor.house.paper import Block, Column, Sheet

WIDTH = 40
_WAYS = {**IN_WORDS, Payment.Method.DEPOSIT.value: "as a deposit"}


@dataclass(frozen=True, slots=True)
class ReceiptLine:
    """One line, in words."""

    name: str
    pieces: str
    amount: str
    told: str


@dataclass(frozen=True, slots=True)
class Receipt:
    """Everything on a receipt, in words; `sums` and `paid` are empty on a gift receipt."""

    title: str
    studio: str
    fair: str
    when: str
    lines: tuple[ReceiptLine, ...]
    sums: tuple[tuple[str, str], ...]
    paid: tuple[tuple[str, str], ...]
    note: str
    undone: str
    is_gift: bool


def receipt_of(sale: Sale, *, studio: Studio, is_gift: bool = False) -> Receipt:
    """Return a sale as a receipt (two statements: its lines and its payments)."""
    return Receipt(
        title=f"{'Gift receipt' if is_gift else 'Receipt'} {sale.number}",
        studio=studio.name,
        fair=sale.fair.name,
        when=written.moment(sale.sold_at, studio),
        lines=tuple(_lines(sale, studio, is_gift=is_gift)),
        sums=() if is_gift else tuple(_sums(sale, studio)),
        paid=() if is_gift else tuple(_paid(sale, studio)),
        note=sale.note,
        undone=sale.undoing.reason if hasattr(sale, "undoing") else "",
        is_gift=is_gift,
    )


def as_text(receipt: Receipt) -> str:
    """Return a receipt as plain text, 40 letters wide, for a message."""
    rows = [receipt.studio, receipt.fair, receipt.when, receipt.title, "-" * WIDTH]
    for line in receipt.lines:
        rows.append(row(f"{line.pieces} × {line.name}", line.amount))
        if line.told:
            rows.append(f"  {line.told}")
    if receipt.sums:
        rows.append("-" * WIDTH)
        rows += [row(name, amount) for name, amount in (*receipt.sums, *receipt.paid)]
    if receipt.note:
        rows += ["-" * WIDTH, receipt.note]
    if receipt.undone:
        rows += ["-" * WIDTH, f"Undone: {receipt.undone}"]
    return "\n".join(rows) + "\n"


def as_sheet(receipt: Receipt) -> Sheet:
    """Return a receipt as a sheet to print."""
    if receipt.is_gift:
        columns = [Column("What", 6), Column("Pieces", 1, number=True)]
        rows = [[line.name, line.pieces] for line in receipt.lines]
    else:
        columns = [Column("What", 6), Column("Pieces", 1, True), Column("Amount", 2, True)]
        rows = [[_told(line), line.pieces, line.amount] for line in receipt.lines]
        rows += [[name, "", amount] for name, amount in (*receipt.sums, *receipt.paid)]
    close = [receipt.note] if receipt.note else []
    if receipt.undone:
        close.append(f"Undone: {receipt.undone}")
    return Sheet(
        title=receipt.title,
        about=[receipt.studio, receipt.fair, receipt.when],
        blocks=[Block("", columns, rows)],
        close=close,
    )


def _told(line: ReceiptLine) -> str:
    return f"{line.name} ({line.told})" if line.told else line.name


def _lines(sale: Sale, studio: Studio, *, is_gift: bool) -> Iterator[ReceiptLine]:
    currency = Currency.of(sale.currency)
    for line in sale.lines.all():
        name = f"{line.name} (second)" if line.grade == "second" else line.name
        told = []
        if line.unit_price != line.list_price:
            told.append(f"on the tag {format_number(line.list_price, currency, studio.language)}")
        if line.discount:
            told.append(f"less {format_number(line.discount, currency, studio.language)}")
        if told and line.price_reason:
            told.append(line.price_reason)
        asked = line.unit_price * line.quantity - line.discount
        yield ReceiptLine(
            name=name,
            pieces=str(line.quantity),
            amount="" if is_gift else format_number(asked, currency, studio.language),
            told="" if is_gift else ", ".join(told),
        )


def _sums(sale: Sale, studio: Studio) -> Iterator[tuple[str, str]]:
    currency = Currency.of(sale.currency)

    def amount(minor: int) -> str:
        return format_amount(minor, currency, studio.language)

    rate = format_rate(sale.tax_rate_ppm, studio.language)
    if sale.discount_reason:
        yield f"Discount: {sale.discount_reason}", "(in the lines)"
    if sale.tax_rate_ppm and not sale.tax_included:
        yield "Without tax", amount(sale.net)
        yield f"Tax, {rate}", amount(sale.tax)
    yield "Total", amount(sale.total)
    if sale.tax_rate_ppm and sale.tax_included:
        yield f"Of it tax, {rate}", amount(sale.tax)
    if sale.cash_rounding:
        yield "Rounded for cash", amount(sale.cash_rounding)


def _paid(sale: Sale, studio: Studio) -> Iterator[tuple[str, str]]:
    currency = Currency.of(sale.currency)
    for payment in sale.payments.all():
        way = _WAYS.get(payment.method, IN_WORDS[Way.OTHER])
        if payment.method == Payment.Method.EXCHANGE and hasattr(sale, "exchange"):
            way = f"in exchange, receipt {sale.exchange.back.sale.number}"
        yield f"Paid {way}", format_amount(payment.amount, currency, studio.language)
        if payment.tip:
            yield "Tip", format_amount(payment.tip, currency, studio.language)
        if payment.method == Payment.Method.CASH and payment.change:
            handed = format_amount(payment.tendered or 0, currency, studio.language)
            yield f"Change from {handed}", format_amount(payment.change, currency, studio.language)


def row(name: str, amount: str) -> str:
    """Return a name and an amount at the two ends of a line, or on two lines where it is long."""
    if len(name) + len(amount) + 1 <= WIDTH:
        return name + amount.rjust(WIDTH - len(name))
    return f"{name}\n{amount.rjust(WIDTH)}" if amount else name
