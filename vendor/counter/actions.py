"""Taking a sale, and undoing one.

A sale and its movements are one transaction; a repeat of the same key answers with the first.
`vendor.counter.intake` takes the documents that devices send, and comes here with those that can
be taken; imports, the demonstration and the closing come here with plain values.
"""

import datetime
import hashlib
from collections.abc import Sequence

from django.db import transaction

from vendor.counter.at import At, open_stall, refuse_closed_day
from vendor.counter.errors import NotYours, UndoneAlready, Unpaid
from vendor.counter.facts import write_sale
from vendor.counter.figures import Reckoning
from vendor.counter.models import Exchange, Sale, Undoing
from vendor.counter.rung import Bill, reckoned, terms_of
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.errors import KeyReused, refuse_other
from vendor.ledger.models import Entry, Hold
from vendor.ledger.posting import take_turn
from vendor.supporters import actions as supporters


def ring_up(
    *,
    key: str,
    bill: Bill,
    at: At,
    who: User,
    now: datetime.datetime,
    overrides: Sequence[Hold] = (),
    not_the_held: bool = False,
    by_count: bool = False,
    digest: str = "",
) -> Sale:
    """Take a sale: its pieces leave the fair's stall, its figures and facts are written down.

    `overrides` are holds that the seller chose to end: those promises are owed again.
    Refused as a whole: NotASellingDay, WeekendClosed, Unpaid, the ledger's HeldPiece and KeyReused,
    and what can't be reckoned.
    """
    terms = bill.terms or terms_of(at.weekend.fair)
    sums = reckoned(bill.lines, terms, bill.payments, bill.discount)
    refuse_unpaid(sums)
    said = digest or fingerprint(
        at.weekend.pk, at.selling_day, at.moment, bill.lines, bill.payments, bill.discount,
        bill.note,
    )  # fmt: skip
    with transaction.atomic():
        take_turn()
        before = sale_before(key, said)
        if before is not None:
            return before
        entry = ledger.sell(
            key=f"sale-{key}", who=who, now=now, source=open_stall(at, "Nothing was sold"),
            lines=[ledger.Line(line.ware_id, line.quantity, line.grade) for line in bill.lines],
            happened_at=at.entered_at or at.moment, overrides=overrides, not_the_held=not_the_held,
        )  # fmt: skip
        _owe_again(overrides, who=who, now=now)
        return write_sale(
            Sale(key=key, digest=said, entry=entry, by_count=by_count, received_at=now),
            bill, at, terms, sums, who=who,
        )  # fmt: skip


def refuse_unpaid(sums: Reckoning) -> None:
    """Refuse (Unpaid) a sale whose payments leave something to pay."""
    if sums.left:
        raise Unpaid("The payments don't come to the total. Nothing was sold: take the rest first.")


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
            refuse_other(before.sale_id, sale.pk)
            return before
        _refuse_undoing(sale, who)
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


def _refuse_undoing(sale: Sale, who: User) -> None:
    if not who.is_owner and sale.seller_id != who.pk:
        raise NotYours(
            f"Sale {sale.number} was taken by {sale.seller}. Nothing was changed: "
            "ask them or the owner to undo it."
        )
    if Undoing.objects.filter(sale=sale).exists():
        raise UndoneAlready(f"Sale {sale.number} has been undone already. Nothing was changed.")
    if Exchange.objects.filter(sale=sale).exists():
        raise UndoneAlready(
            f"Sale {sale.number} went out in exchange for other pieces. Nothing was changed: "
            "take its pieces back, or exchange them again."
        )
    if sale.taken_back.exists():
        raise UndoneAlready(
            f"Something of sale {sale.number} has been taken back already. Nothing was "
            "changed: take the rest of it back the same way."
        )
    refuse_closed_day(sale.fair.stall, sale.day, f"Sale {sale.number} can't be undone")


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


def fingerprint(*said: object) -> str:
    """Return a fingerprint of plain values, to tell a repeat from a reused key."""
    return hashlib.sha256(repr(said).encode()).hexdigest()
