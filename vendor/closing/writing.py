"""Writes the rows of a statement: its money, its cash boxes, its pots.

Private to the closing: `closing.close_weekend` calls it inside its own transaction, once nothing
stands open any more.
"""

import datetime

from vendor.closing.card_pages import CardPage
from vendor.closing.checklist import Books
from vendor.closing.models import Closing, ClosingCard, ClosingCash, ClosingLine
from vendor.closing.queries import closed_before
from vendor.closing.tills import Stretch
from vendor.fairs.models import Weekend
from vendor.fairs.prices import at_the_fair
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.house.written import moment
from vendor.ledger.models import Entry


def write_statement(
    *,
    key: str,
    weekend: Weekend,
    number: int,
    books: Books,
    correction: Entry | None,
    home: Entry | None,
    who: User,
    now: datetime.datetime,
) -> Closing:
    """Write the statement of a weekend from what its books say, with all its lines."""
    sheet, between = books.sheet, books.between
    till, counted = sheet.till, sheet.counted
    assert counted is not None
    cards = books.cards if books.cards is not None and books.cards.is_compared else None
    closing = Closing.objects.create(
        key=key, made_by=who, made_at=now, weekend=weekend, number=number,
        title=str(weekend)[:120], after=closed_before(weekend), first_day=weekend.first_day,
        last_day=weekend.last_day, currency=the_studio().currency, cash_float=till.cash_float,
        cash_sales=till.sales, cash_tips=till.tips, cash_refunds=till.refunds,
        paid_in=till.paid_in, paid_out=till.paid_out, cash_expected=till.expected,
        cash_counted=counted, over_short=counted - till.expected, cash_reason=sheet.reason[:200],
        taken_out=sheet.taken_out, cash_before=between.left if between else None,
        carried_reason=between.reason if between else "",
        card_sales=sheet.card.sales, card_tips=sheet.card.tips, card_refunds=sheet.card.refunds,
        other_sales=sheet.other.sales, other_tips=sheet.other.tips,
        other_refunds=sheet.other.refunds, card_charged=cards.charged if cards else None,
        card_fees=cards.fees if cards else 0,
        cash_deposits=till.deposits,
        cash_deposits_back=till.deposits_back,
        card_deposits=sheet.card.deposits - sheet.card.deposits_back,
        other_deposits=sheet.other.deposits - sheet.other.deposits_back, correction=correction,
        taken_home=home,
    )  # fmt: skip
    ClosingCash.objects.bulk_create(_cash(closing, each) for each in sheet.stretches)
    ClosingCard.objects.bulk_create(_cards(closing, cards))
    ClosingLine.objects.bulk_create(_pots(closing, weekend, books, home))
    return closing


def _cash(closing: Closing, stretch: Stretch) -> ClosingCash:
    count, till = stretch.count, stretch.till
    assert count is not None
    return ClosingCash(
        closing=closing, till=stretch.number, name=stretch.name, day=stretch.day,
        opening=till.opening, cash_float=till.cash_float, sales=till.sales, tips=till.tips,
        refunds=till.refunds, deposits=till.deposits, deposits_back=till.deposits_back,
        paid_in=till.paid_in, paid_out=till.paid_out, expected=till.expected,
        counted=count.counted, over_short=till.over_short(count.counted), reason=stretch.reason,
        taken_out=stretch.taken_out, counted_by=count.made_by, counted_at=count.made_at,
    )  # fmt: skip


def _cards(closing: Closing, page: CardPage | None) -> list[ClosingCard]:
    """Return what the cards left over on either side, each with its reason."""
    if page is None:
        return []
    studio = the_studio()
    sales = [
        ClosingCard(
            closing=closing, is_sale=True, what=f"{sale.name}, {moment(sale.at, studio)}"[:200],
            amount=sale.amount, reason=sale.reason,
        )
        for sale in page.sales_left
    ]  # fmt: skip
    lines = [
        ClosingCard(
            closing=closing, is_sale=False, what=line.words(studio)[:200],
            amount=line.told.amount, reason=line.reason,
        )
        for line in page.lines_left
    ]  # fmt: skip
    return sales + lines


def _pots(
    closing: Closing, weekend: Weekend, books: Books, home: Entry | None
) -> list[ClosingLine]:
    asked = at_the_fair(weekend.fair, [line.ware for line in books.lines], on=weekend.last_day)
    gone: dict[tuple[int, str], int] = {}
    for move in home.movements.all() if home is not None else ():
        gone[move.ware_id, move.grade] = gone.get((move.ware_id, move.grade), 0) + move.quantity
    return [
        ClosingLine(
            closing=closing, ware=line.ware, grade=line.grade, name=line.name[:120],
            **{name: getattr(line.pots, name) for name in type(line.pots).__slots__},
            expected=line.expected, counted=line.counted or 0, variance=line.variance or 0,
            reason=line.reason, home=gone.get((line.ware.pk, line.grade), 0),
            price=asked.get((line.ware.pk, line.grade)),
        )
        for line in books.lines
    ]  # fmt: skip
