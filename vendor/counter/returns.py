"""Taking sold pieces back from a customer: where they go, and the money that goes back."""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Sum

from vendor.counter.errors import UndoneAlready
from vendor.counter.figures import Method
from vendor.counter.models import Sale, SaleLine, TakenBack, TakenBackLine, Undoing
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Weekend
from vendor.fairs.planning import refuse_closed
from vendor.house.cash import round_cash
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.split import split
from vendor.ledger import actions as ledger
from vendor.ledger.errors import refuse_other
from vendor.ledger.models import Entry, Place
from vendor.ledger.posting import take_turn
from vendor.ware.models import Grade

Into = TakenBackLine.Into


@dataclass(frozen=True, kw_only=True)
class Brought:
    """So many pieces of one line of a sale that came back, and where they go (`Into`)."""

    line: SaleLine
    quantity: int
    into: str = Into.STOCK


@dataclass(frozen=True, slots=True)
class Refund:
    """What goes back for some pieces of a line, in minor units."""

    net: int
    tax: int

    @property
    def total(self) -> int:
        """Both together."""
        return self.net + self.tax


def refund_for(line: SaleLine, *, before: int, quantity: int) -> Refund:
    """Return what the next `quantity` pieces of a line are worth, after `before` came back.

    Each piece has its own share of the line to the minor unit, so that all of them together are
    what was paid, in whatever order they come back.
    """
    return Refund(
        sum(split(line.net, [1] * line.quantity)[before : before + quantity]),
        sum(split(line.tax, [1] * line.quantity)[before : before + quantity]),
    )


def brought_before(sale: Sale) -> dict[int, int]:
    """Return how many pieces of each line of a sale came back already (one statement)."""
    rows = TakenBackLine.objects.filter(taken_back__sale=sale).order_by()
    return dict(rows.values_list("line_id").annotate(Sum("quantity")))


def take_back(
    *,
    key: str,
    sale: Sale,
    brought: Sequence[Brought],
    weekend: Weekend,
    day: datetime.date,
    method: Method,
    till: int = FIRST_TILL,
    reason: str,
    who: User,
    now: datetime.datetime,
    set_off: int = 0,
) -> TakenBack:
    """Take pieces of a sale back, with a reason: to the stall, as seconds, or broken; money back.

    `weekend` and `day` are those under which they come back, `method` how the money goes back,
    `till` out of which cash box; in cash it is rounded to the smallest coins of the fair. What is
    `set_off` (minor units) pays for pieces that go out in exchange and stays. Refused:
    a closed weekend, a sale that is undone (UndoneAlready), and more pieces than are still out.
    """
    why = reason_of(reason, "it comes back")
    with transaction.atomic():
        take_turn()
        had = TakenBack.objects.filter(key=key).first()
        if had is not None:
            refuse_other(had.sale_id, sale.pk)
            return had
        refuse_closed(weekend)
        refunds = refunds_for(sale, brought)
        entry = _enter(key, brought, weekend.fair.stall, who=who, now=now, reason=why)
        return _write(
            TakenBack(
                key=key, made_by=who, made_at=now, sale=sale, weekend=weekend, day=day,
                happened_at=now, reason=why, method=method, till=till, entry=entry,
                set_off=set_off,
            ),
            brought,
            refunds,
        )  # fmt: skip


def refunds_for(sale: Sale, brought: Sequence[Brought]) -> list[Refund]:
    """Return what each part is worth; refused where more comes back than is out.

    Of a sale that is undone nothing is out (UndoneAlready).
    """
    if Undoing.objects.filter(sale=sale).exists():
        raise UndoneAlready(
            f"Sale {sale.number} has been undone: nothing of it is out. Nothing was changed."
        )
    before = defaultdict(int, brought_before(sale))
    refunds = []
    for part in brought:
        if part.line.sale_id != sale.pk or part.quantity <= 0:
            raise Refused("Say how many pieces of which line come back. Nothing was changed.")
        out = part.line.quantity - before[part.line.pk]
        if part.quantity > out:
            raise Refused(
                f"Of {part.line.name}, {out} of this sale are still out, and {part.quantity} "
                "can't come back. Nothing was changed."
            )
        refunds.append(refund_for(part.line, before=before[part.line.pk], quantity=part.quantity))
        before[part.line.pk] += part.quantity
    if not refunds:
        raise Refused("No piece was named that comes back. Nothing was changed.")
    return refunds


def _enter(
    key: str,
    brought: Sequence[Brought],
    stall: Place,
    *,
    who: User,
    now: datetime.datetime,
    reason: str,
) -> Entry:
    """Enter the pieces: on the stall, of those some as seconds, and the broken where those go.

    Broken ones pass over the stall, so that its own equation shows them come and go.
    """
    lines = [ledger.Line(b.line.ware_id, b.quantity, b.line.grade) for b in brought]
    entry = ledger.take_back(
        key=f"back-{key}", lines=lines, into=stall, who=who, now=now, reason=reason
    )
    flawed = [
        ledger.Line(b.line.ware_id, b.quantity, b.line.grade)
        for b in brought
        if b.into == Into.SECOND and b.line.grade == Grade.FIRST
    ]
    if flawed:
        ledger.regrade(
            key=f"back-{key}-seconds", lines=flawed, at=stall, to=Grade.SECOND, who=who, now=now,
            reason=reason,
        )  # fmt: skip
    broken = [
        ledger.Line(b.line.ware_id, b.quantity, b.line.grade)
        for b in brought
        if b.into == Into.BROKEN
    ]
    if broken:
        ledger.remove(
            key=f"back-{key}-broken", lines=broken, source=stall, to=Place.Kind.BROKEN, who=who,
            now=now, reason=reason,
        )  # fmt: skip
    return entry


def _write(back: TakenBack, brought: Sequence[Brought], refunds: Sequence[Refund]) -> TakenBack:
    back.net = sum(refund.net for refund in refunds)
    back.tax = sum(refund.tax for refund in refunds)
    back.total = back.net + back.tax
    if back.method == Method.CASH:
        goes = back.total - back.set_off
        back.cash_rounding = round_cash(goes, back.weekend.fair.cash_step) - goes
    back.save()
    TakenBackLine.objects.bulk_create(
        TakenBackLine(
            taken_back=back,
            line=part.line,
            quantity=part.quantity,
            into=part.into,
            net=refund.net,
            tax=refund.tax,
            total=refund.total,
        )
        for part, refund in zip(brought, refunds, strict=True)
    )
    return back
