"""A sale document against the books: fair, day, ware, price and every figure, as we know them.

Reads only. What does not hold is `Unfit`, with what it is and a sentence for the owner.
"""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

from vendor.counter.document import SaleDocument
from vendor.counter.errors import NotASellingDay
from vendor.counter.models import Unsettled
from vendor.counter.prices import Listed, Piece, listed
from vendor.counter.rung import Bill, Paid, Rung, reckoned, terms_of
from vendor.fairs.errors import WeekendClosed
from vendor.fairs.models import Fair, Weekend
from vendor.house import clock, dates
from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.ledger.errors import DayClosed, HeldPiece
from vendor.ledger.models import Hold
from vendor.ware.models import Ware

Why = Unsettled.Why


class Unfit(Exception):  # noqa: N818 - named as it reads
    """The document is proper, but does not hold against the books."""

    def __init__(self, why: Why, reason: str) -> None:
        super().__init__(reason)
        self.why = why


@contextmanager
def unfit_where_refused() -> Iterator[None]:
    """Turn what an act refuses into `Unfit`, with the kind of reason that it is."""
    try:
        yield
    except (WeekendClosed, DayClosed) as refusal:
        raise Unfit(Why.CLOSED, refusal.message) from None
    except NotASellingDay as refusal:
        raise Unfit(Why.DAY, refusal.message) from None
    except HeldPiece as refusal:
        raise Unfit(Why.HELD, refusal.message) from None
    except Refused as refusal:
        raise Unfit(Why.FIGURES, refusal.message) from None


def held_against_the_books(
    document: SaleDocument, *, sold_at: datetime.datetime, now: datetime.datetime, studio: Studio
) -> tuple[Weekend, list[Rung]]:
    """Return the weekend a sale belongs to and its lines, all proved; raises `Unfit`.

    `sold_at` is the document's moment, put right where the device's clock is known to be off.
    """
    day = clock.day_of(sold_at, studio)
    weekend = weekend_of(document.fair, day, ahead=sold_at > now)
    _prove_terms(document, weekend.fair, studio)
    wares = _wares(document)
    prices = listed(weekend.fair, wares.values(), on=day, studio=studio)
    _prove_prices(document, wares, prices, day)
    lines = lines_seen(document, wares, prices)
    _prove_figures(document, lines)
    return weekend, lines


def lines_seen(
    document: SaleDocument, wares: Mapping[str, Ware], prices: Mapping[Piece, Listed]
) -> list[Rung]:
    """Return the lines as the seller saw them, of the ware with their codes."""
    rungs = []
    for line in document.lines:
        ware = wares[line.ware]
        price = prices.get((ware.pk, line.grade))
        rungs.append(
            Rung(
                ware_id=ware.pk,
                grade=line.grade,
                quantity=line.quantity,
                list_price=line.list_price,
                unit_price=line.unit_price,
                discount=line.discount,
                reason=line.reason,
                name=line.name,
                tier=price.tier if price else "",
            )
        )
    return rungs


def payments_seen(document: SaleDocument) -> list[Paid]:
    """Return the payments as the seller took them."""
    return [
        Paid(
            method=payment.method,
            settles=payment.settles,
            tendered=payment.tendered,
            tip=payment.tip,
        )
        for payment in document.payments
    ]


def bill_seen(document: SaleDocument, lines: Sequence[Rung]) -> Bill:
    """Return a sale of these lines, paid, discounted and noted as the seller did."""
    return Bill(
        lines=lines,
        payments=payments_seen(document),
        discount=document.discount,
        discount_reason=document.discount_reason,
        note=document.note,
    )


def ended_holds(document: SaleDocument) -> list[Hold]:
    """Return the holds that the seller chose to end, of pieces that are in the sale."""
    pieces = {(line.ware, line.grade) for line in document.lines}
    chosen = Hold.objects.filter(pk__in=document.overridden).select_related("ware")
    return [hold for hold in chosen if (hold.ware.code, hold.grade) in pieces]


def weekend_of(fair_id: int, day: datetime.date, *, ahead: bool) -> Weekend:
    """Return the weekend of a selling day; `Unfit` for none, and for a day still to come."""
    fair = Fair.objects.select_related("stall", "tier").filter(pk=fair_id).first()
    if fair is None:
        raise Unfit(Why.TERMS, "The fair that it names is not in the books.")
    if ahead:
        raise Unfit(Why.DAY, f"It is dated {dates.day(day)}, still to come: look at the clock.")
    weekend = Weekend.objects.filter(fair=fair, days__day=day).first()
    if weekend is None:
        raise Unfit(Why.DAY, f"{dates.day(day)} is no selling day of {fair}.")
    weekend.fair = fair
    return weekend


def _prove_terms(document: SaleDocument, fair: Fair, studio: Studio) -> None:
    currency = studio.currency
    if document.currency != currency:
        raise Unfit(
            Why.TERMS, f"It was sold in {document.currency}; the studio sells in {currency}."
        )
    if document.terms != terms_of(fair):
        raise Unfit(Why.TERMS, f"It was sold under another tax or cash rounding than {fair} has.")


def _wares(document: SaleDocument) -> dict[str, Ware]:
    codes = {line.ware for line in document.lines}
    wares = {ware.code: ware for ware in Ware.objects.named().filter(code__in=codes)}
    for line in document.lines:
        if line.ware not in wares:
            raise Unfit(Why.WARE, f"No ware has the code {line.ware} ({line.name}).")
        if wares[line.ware].retired:
            raise Unfit(Why.WARE, f"{wares[line.ware].name} ({line.ware}) is retired.")
    return wares


def _prove_prices(
    document: SaleDocument,
    wares: Mapping[str, Ware],
    prices: Mapping[Piece, Listed],
    day: datetime.date,
) -> None:
    for line in document.lines:
        price = prices.get((wares[line.ware].pk, line.grade))
        if price is None or price.amount != line.list_price:
            raise Unfit(
                Why.PRICE,
                f"{line.name} had another price on the page than in the list of {dates.day(day)}.",
            )


def _prove_figures(document: SaleDocument, lines: list[Rung]) -> None:
    """Reckon the sale again: every sum that stood on the page must come out the same."""
    try:
        sums = reckoned(lines, document.terms, payments_seen(document), document.discount)
    except Refused as refusal:
        raise Unfit(Why.FIGURES, refusal.message) from None
    ours = (sums.discount, sums.net, sums.tax, sums.total, sums.cash_rounding)
    seen = document.figures
    theirs = (seen.discount, seen.net, seen.tax, seen.total, seen.cash_rounding)
    change = sum(payment.change for payment in sums.payments)
    if ours != theirs or seen.change != change:
        raise Unfit(Why.FIGURES, "The sums on the page are not what its lines come to.")
    if sums.left:
        raise Unfit(Why.FIGURES, "The payments don't come to the total.")
