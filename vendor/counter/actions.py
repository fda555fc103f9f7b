"""Taking a sale, and undoing one.

A sale and its movements are one transaction; a repeat of the same key answers with the first.
`vendor.counter.intake` takes the documents that devices send, and comes here with those that can
be taken; imports, the demonstration and the closing come here with plain values.
"""

import datetime
import hashlib
from collections.abc import Sequence

from django.db import transaction
from django.db.models import Max

from vendor.counter.errors import NotASellingDay, NotYours, UndoneAlready, Unpaid
from vendor.counter.facts import write_lines, write_payments
from vendor.counter.figures import NO_DISCOUNT, Discount, Terms
from vendor.counter.models import Sale, Undoing
from vendor.counter.rung import Paid, Rung, reckoned, terms_of
from vendor.counter.till import FIRST_TILL
from vendor.fairs.errors import WeekendClosed
from vendor.fairs.models import Fair, Weekend
from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger.errors import KeyReused
from vendor.ledger.models import Entry, Hold, Place
from vendor.ledger.posting import take_turn
from vendor.supporters import actions as supporters


def ring_up(
    *,
    key: str,
    weekend: Weekend,
    lines: Sequence[Rung],
    payments: Sequence[Paid],
    sold_at: datetime.datetime,
    who: User,
    now: datetime.datetime,
    seller: User | None = None,
    day: datetime.date | None = None,
    entered_at: datetime.datetime | None = None,
    currency: str | None = None,
    terms: Terms | None = None,
    discount: Discount = NO_DISCOUNT,
    discount_reason: str = "",
    device: str = "",
    till: int = FIRST_TILL,
    note: str = "",
    overrides: Sequence[Hold] = (),
    not_the_held: bool = False,
    by_count: bool = False,
    digest: str = "",
) -> Sale:
    """Take a sale: its pieces leave the fair's stall, its figures and facts are written down.

    `day` is the selling day it belongs to (that of `sold_at` unless given), `entered_at` the
    moment under which the ledger enters it (`sold_at` unless given), `terms` and `currency` those
    of the fair and the studio unless given, the `seller` is `who` unless given, `till` the cash box
    that it was taken at. `overrides` are holds that the seller chose to end: those promises are
    owed again.

    Refused as a whole: NotASellingDay, WeekendClosed, Unpaid, the ledger's HeldPiece and KeyReused,
    and what can't be reckoned.
    """
    studio = the_studio()
    fair = weekend.fair
    terms = terms or terms_of(fair)
    sums = reckoned(lines, terms, payments, discount)
    if sums.left:
        raise Unpaid("The payments don't come to the total. Nothing was sold: take the rest first.")
    day = day or clock.day_of(sold_at, studio)
    said = digest or _fingerprint(weekend.pk, day, sold_at, lines, payments, discount, note)
    with transaction.atomic():
        take_turn()
        before = sale_before(key, said)
        if before is not None:
            return before
        stall = _open_stall(weekend, day)
        entry = ledger.sell(
            key=f"sale-{key}",
            lines=[ledger.Line(line.ware_id, line.quantity, line.grade) for line in lines],
            source=stall,
            who=who,
            now=now,
            happened_at=entered_at or sold_at,
            overrides=overrides,
            not_the_held=not_the_held,
        )
        _owe_again(overrides, who=who, now=now)
        sale = Sale.objects.create(
            key=key,
            digest=said,
            fair=fair,
            weekend=weekend,
            number=_next_number(fair),
            day=day,
            sold_at=sold_at,
            received_at=now,
            seller=seller or who,
            device=device,
            till=till,
            currency=currency or studio.currency,
            tax_rate_ppm=terms.tax_rate_ppm,
            tax_included=terms.tax_included,
            tax_rounding=terms.tax_rounding,
            net=sums.net,
            tax=sums.tax,
            total=sums.total,
            cash_rounding=sums.cash_rounding,
            discount=sums.discount,
            discount_reason=discount_reason,
            pieces=sums.pieces,
            by_count=by_count,
            note=note,
            entry=entry,
        )
        write_lines(sale, lines, sums.lines)
        write_payments(sale, payments, sums)
    return sale


def sale_before(key: str, digest: str) -> Sale | None:
    """Return the sale that this key has already made, or None; KeyReused for other contents."""
    sale = Sale.objects.filter(key=key).first()
    if sale is not None and sale.digest != digest:
        raise KeyReused(
            f"Sale {sale.number} was sent under this key with other contents. It is kept as it "
            "was; nothing was changed."
        )
    return sale


def undo_sale(*, key: str, sale: Sale, reason: str, who: User, now: datetime.datetime) -> Undoing:
    """Undo a sale whole, with a reason: its pieces are back on the stall, its money is not counted.

    A hold that the sale had ended is back, and with it the piece of its promise, unless that has
    another one by now.
    Refused: a sale undone before or partly taken back (UndoneAlready), one of a closed weekend
    (WeekendClosed), and a helper undoing somebody else's (NotYours).
    """
    with transaction.atomic():
        take_turn()
        before = Undoing.objects.filter(key=key).first()
        if before is not None:
            return _the_same(before, sale)
        if not who.is_owner and sale.seller_id != who.pk:
            raise NotYours(
                f"Sale {sale.number} was taken by {sale.seller}. Nothing was changed: "
                "ask them or the owner to undo it."
            )
        if Undoing.objects.filter(sale=sale).exists():
            raise UndoneAlready(f"Sale {sale.number} has been undone already. Nothing was changed.")
        if sale.taken_back.exists():
            raise UndoneAlready(
                f"Something of sale {sale.number} has been taken back already. Nothing was "
                "changed: take the rest of it back the same way."
            )
        _refuse_closed(sale.fair.stall, sale.day, f"Sale {sale.number} can't be undone")
        # Under the sale's own day: a count of that day then agrees with the book.
        entry = ledger.reverse(
            key=f"undo-{key}",
            entry=sale.entry,
            who=who,
            now=now,
            happened_at=sale.entry.happened_at,
            reason=reason,
        )
        _give_back(entry, who=who, now=now)
        return Undoing.objects.create(
            key=key, sale=sale, reason=reason.strip(), who=who, at=now, entry=entry
        )


def _the_same(undoing: Undoing, sale: Sale) -> Undoing:
    if undoing.sale_id != sale.pk:
        raise KeyReused(
            f"{undoing} came under the key with which sale {sale.number} should be undone. "
            "Nothing was changed: open the sale again and undo it there."
        )
    return undoing


def _owe_again(overrides: Sequence[Hold], *, who: User, now: datetime.datetime) -> None:
    """Tell the promises whose held piece was sold that it is owed again."""
    for hold in overrides:
        supporters.hold_overridden(
            hold=hold, who=who, now=now, reason="Its held piece was sold at the stall."
        )


def _give_back(reversal: Entry, *, who: User, now: datetime.datetime) -> None:
    """Tell the promises whose hold a reversal has just brought back."""
    for line in reversal.hold_lines.filter(change__gt=0).select_related("hold"):
        supporters.hold_restored(hold=line.hold, who=who, now=now)


def _open_stall(weekend: Weekend, day: datetime.date) -> Place:
    """Return the stall, fresh; refused where the day is none of its selling days, or closed."""
    fresh = Weekend.objects.select_related("fair__stall").get(pk=weekend.pk)
    if not fresh.days.filter(day=day).exists():
        raise NotASellingDay(
            f"{clock.in_words(day)} is no selling day of {fresh}. Nothing was sold."
        )
    _refuse_closed(fresh.fair.stall, day, "Nothing was sold")
    return fresh.fair.stall


def _refuse_closed(stall: Place, day: datetime.date, kept: str) -> None:
    if stall.closed_through is not None and stall.closed_through >= day:
        raise WeekendClosed(
            f"{stall.name} is closed up to {clock.in_words(stall.closed_through)}, and this is of "
            f"{clock.in_words(day)}. {kept}: "
            "enter a correction in an open weekend."
        )


def _next_number(fair: Fair) -> int:
    """Return the next receipt number; call in your turn, so that none is given twice."""
    last = Sale.objects.filter(fair=fair).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1


def _fingerprint(*said: object) -> str:
    """Return a fingerprint of plain values, to tell a repeat from a reused key."""
    return hashlib.sha256(repr(said).encode()).hexdigest()
