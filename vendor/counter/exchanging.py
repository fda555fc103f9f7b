"""Exchanging sold pieces for others in one transaction: back, out, and the difference.

What the pieces that came back were paid for is set off against those that go out: only the
difference changes hands. Both are whole records of their own, a return and a sale, linked.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from vendor.counter import actions, returns
from vendor.counter.at import At
from vendor.counter.figures import Method
from vendor.counter.models import Exchange, Sale
from vendor.counter.returns import Brought
from vendor.counter.rung import Bill, Paid, Rung, reckoned, terms_of
from vendor.fairs.models import Fair
from vendor.house.cash import round_cash
from vendor.house.models import User
from vendor.ledger.errors import refuse_other
from vendor.ledger.posting import take_turn


@dataclass(frozen=True, kw_only=True)
class Difference:
    """What an exchange comes to (minor units): what came back, what goes out, how the rest is paid.

    Above zero `amount` is to be paid, below zero to be given back; in cash it is rounded.
    """

    back: int
    out: int
    amount: int

    @property
    def set_off(self) -> int:
        """What of both changes no hands."""
        return min(self.back, self.out)

    @property
    def to_pay(self) -> int:
        """What the customer pays."""
        return max(0, self.amount)

    @property
    def to_give(self) -> int:
        """What the customer gets."""
        return max(0, -self.amount)


def difference(
    sale: Sale, brought: Sequence[Brought], lines: Sequence[Rung], *, fair: Fair, method: Method
) -> Difference:
    """Return what an exchange would come to, as things stand; refuses what can't come back."""
    back = sum(refund.total for refund in returns.refunds_for(sale, brought))
    out = reckoned(lines, terms_of(fair)).total
    amount = out - back
    if method is Method.CASH:
        sign = 1 if amount > 0 else -1
        amount = sign * round_cash(abs(amount), fair.cash_step)
    return Difference(back=back, out=out, amount=amount)


def exchange(
    *,
    key: str,
    sale: Sale,
    brought: Sequence[Brought],
    lines: Sequence[Rung],
    method: Method,
    reason: str,
    at: At,
    who: User,
    now: datetime.datetime,
) -> Exchange:
    """Take pieces of a sale back and ring others up for them; `method` settles the difference.

    Refused as a whole: what can't be taken back (see `returns.take_back`), and what can't be sold
    (see `ring_up`), a held piece among it.
    """
    with transaction.atomic():
        take_turn()
        before = Exchange.objects.filter(key=key).select_related("back", "sale").first()
        if before is not None:
            refuse_other(before.back.sale_id, sale.pk)
            return before
        told = difference(sale, brought, lines, fair=at.weekend.fair, method=method)
        back = returns.take_back(
            key=f"{key}-back", sale=sale, brought=brought, weekend=at.weekend,
            day=at.selling_day, method=method, till=at.till, reason=reason, who=who, now=now,
            set_off=told.set_off,
        )  # fmt: skip
        payments = [Paid(method=Method.EXCHANGE, settles=told.set_off)] if told.set_off else []
        if told.out > told.set_off:
            payments.append(Paid(method=method))
        out = actions.ring_up(
            key=f"{key}-out", bill=Bill(lines=lines, payments=payments), at=at, who=who, now=now
        )
        return Exchange.objects.create(key=key, back=back, sale=out, made_by=who, made_at=now)
