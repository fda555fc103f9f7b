"""Commissions at a stall: taken with a deposit, handed over as a sale, or cancelled.

A deposit is the customer's money until the piece is theirs: taking it is no sale. Handing the piece
over is one, of the whole price agreed, of which the deposit pays its part. Each verb is one
transaction, and a repeat of its key answers with what the first one made.
"""

import datetime
from dataclasses import dataclass, replace

from django.db import transaction
from django.db.models import Max

from vendor.counter.actions import fingerprint, refuse_unpaid, sale_before
from vendor.counter.at import At, open_stall
from vendor.counter.errors import NotYours
from vendor.counter.facts import write_sale
from vendor.counter.figures import Method, Terms
from vendor.counter.models import Commission, Deposit, Sale
from vendor.counter.rung import Bill, Paid, Rung, reckoned, terms_of
from vendor.fairs.models import Fair
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger.errors import refuse_other
from vendor.ledger.posting import take_turn
from vendor.supporters import actions as supporters
from vendor.supporters.models import Commitment, Step
from vendor.ware.models import Form, Ware

AGREED = "Agreed price"
"""Stands for the price list on the line of a commission's sale."""
_OFF = {Deposit.Kind.PAID_BACK: Step.What.PAID_BACK, Deposit.Kind.KEPT: Step.What.FORFEITED}


@dataclass(frozen=True, kw_only=True)
class Ordered:
    """What was ordered by whom: a ware, or a form with the rest in words; `price` in minor units.

    The price is what the customer pays in all, with any tax in it.
    """

    name: str
    price: int
    contact: str = ""
    ware: Ware | None = None
    form: Form | None = None
    choices: str = ""
    note: str = ""
    due_on: datetime.date | None = None


@dataclass(frozen=True, kw_only=True)
class Received:
    """Money taken in advance, in minor units above zero, and how."""

    method: Method
    amount: int


@dataclass(frozen=True, kw_only=True)
class Ending:
    """How a cancelled commission's deposit ends: paid back (how), or kept."""

    kind: Deposit.Kind
    method: Method | None = None


def take_commission(
    *,
    key: str,
    ordered: Ordered,
    deposit: Received | None,
    at: At,
    who: User,
    now: datetime.datetime,
    digest: str = "",
) -> Commission:
    """Take a commission: the promise to its customer, and the deposit on it.

    The customer is found by name and contact, or written down. Refused as a whole: NotASellingDay,
    WeekendClosed, a deposit above the price, and a key that comes with other contents (KeyReused).
    """
    said = digest or fingerprint(ordered, deposit, at.weekend.pk, at.moment)
    with transaction.atomic():
        take_turn()
        before = Commission.objects.filter(key=key).select_related("commitment").first()
        if before is not None:
            refuse_other(before.digest, said)
            return before
        open_stall(at, "Nothing was written down")
        promise = _promise(key, ordered, who, now)
        made = Commission.objects.create(
            key=key, commitment=promise, fair=at.weekend.fair, weekend=at.weekend,
            day=at.selling_day, taken_at=at.moment, seller=at.seller or who, device=at.device,
            digest=said, made_by=who, made_at=now,
        )  # fmt: skip
        if deposit is not None:
            take_deposit(key=key, promise=promise, received=deposit, at=at, who=who, now=now)
    return made


def take_deposit(
    *,
    key: str,
    promise: Commitment,
    received: Received,
    at: At,
    who: User,
    now: datetime.datetime,
) -> Deposit:
    """Take money on an open commission in advance: so much less is left to pay."""
    if received.amount <= 0:
        raise Refused("A deposit is above zero. Nothing was taken.")
    with transaction.atomic():
        take_turn()
        before = Deposit.objects.filter(key=key).first()
        if before is not None:
            return _the_same(before, promise, Deposit.Kind.TAKEN, received.amount)
        open_stall(at, "Nothing was taken")
        supporters.pay_on(
            key=f"{key}-paid", commitment=promise, amount=received.amount, who=who, now=now
        )
        kind = Deposit.Kind.TAKEN
        made = Deposit(key=key, kind=kind, amount=received.amount, method=received.method)
        return _write(made, promise, at, who, now)


def hand_over(
    *,
    key: str,
    promise: Commitment,
    payment: Paid,
    at: At,
    who: User,
    now: datetime.datetime,
) -> Sale:
    """Hand a commissioned piece over: a sale of the agreed price, less its deposit to pay.

    `payment` says how the rest is paid. Refused: a promise without a held piece or a price
    (NotNow), and all that a sale is refused for.
    """
    said = fingerprint("hand over", promise.pk, payment, at.weekend.pk)
    with transaction.atomic():
        take_turn()
        before = sale_before(key, said)
        if before is not None:
            return before
        open_stall(at, "Nothing was handed over")
        fresh = Commitment.objects.named().get(pk=promise.pk)
        bill, terms = bill_of(fresh, payment, at.weekend.fair)
        sums = reckoned(bill.lines, terms, bill.payments)
        refuse_unpaid(sums)
        hold = fresh.hold
        assert hold is not None
        entry = ledger.sell(
            key=f"sale-{key}", lines=[ledger.Line(hold.ware_id, 1, hold.grade)], overrides=[hold],
            source=hold.place, who=who, now=now, happened_at=at.entered_at or at.moment,
            reason=f"{fresh}, handed over",
        )  # fmt: skip
        supporters.sold(key=f"sold-{key}", commitment=fresh, entry=entry, who=who, now=now)
        sale = Sale(key=key, digest=said, entry=entry, commitment=fresh, received_at=now)
        return write_sale(sale, bill, at, terms, sums, who=who)


def cancel(
    *,
    key: str,
    promise: Commitment,
    ending: Ending,
    reason: str,
    at: At,
    who: User,
    now: datetime.datetime,
) -> Deposit:
    """Cancel a commission with a reason; its deposit is paid back, or kept as other income.

    Refused: to anybody but the owner (NotYours), where no deposit is held, and what is over.
    """
    if not who.is_owner:
        raise NotYours("A commission is cancelled by the owner. Nothing was changed.")
    why = reason_of(reason, "the commission is cancelled")
    with transaction.atomic():
        take_turn()
        before = Deposit.objects.filter(key=key).first()
        if before is not None:
            return _the_same(before, promise, ending.kind, before.amount)
        open_stall(at, "Nothing was changed")
        fresh = Commitment.objects.get(pk=promise.pk)
        if not fresh.paid:
            raise Refused("No deposit is held for it: cancel it on the promise's own page.")
        made = Deposit(key=key, kind=ending.kind, amount=fresh.paid, reason=why)
        made.method = ending.method or ""
        what = _OFF[ending.kind]
        supporters.pay_off(key=f"{key}-off", commitment=fresh, what=what, who=who, now=now)
        supporters.cancel(key=f"{key}-end", commitment=fresh, who=who, now=now, reason=why)
        return _write(made, fresh, at, who, now)


def bill_of(promise: Commitment, payment: Paid, fair: Fair) -> tuple[Bill, Terms]:
    """Return the sale that hands a commission over, and its terms: any tax is in the price.

    Refused: a promise that holds no piece or has no price.
    """
    hold = promise.hold
    if hold is None or promise.price is None or not promise.has_a_piece:
        raise Refused(
            f"{promise} holds no piece with a price to hand over. Nothing was changed: hold a "
            "piece for it first."
        )
    line = Rung(ware_id=hold.ware_id, grade=hold.grade, list_price=promise.price, tier=AGREED)
    payments = [Paid(method=Method.DEPOSIT, settles=promise.paid)] if promise.paid else []
    if promise.to_pay:
        payments.append(payment)
    terms = replace(terms_of(fair), tax_included=True)
    return Bill(lines=[line], payments=payments, note=str(promise)), terms


def _promise(key: str, ordered: Ordered, who: User, now: datetime.datetime) -> Commitment:
    customer = supporters.the_customer(
        key=key, name=ordered.name, contact=ordered.contact, who=who, now=now
    )
    return supporters.promise(
        key=key, supporter=customer, ware=ordered.ware, form=ordered.form, price=ordered.price,
        choices=ordered.choices, note=ordered.note, due_on=ordered.due_on, who=who, now=now,
    )  # fmt: skip


def _write(
    deposit: Deposit, promise: Commitment, at: At, who: User, now: datetime.datetime
) -> Deposit:
    """Write money that came or went, numbered in its fair; call in your turn."""
    last = Deposit.objects.filter(fair=at.weekend.fair).aggregate(last=Max("number"))["last"]
    deposit.commitment, deposit.fair, deposit.weekend = promise, at.weekend.fair, at.weekend
    deposit.number = (last or 0) + 1
    deposit.day, deposit.happened_at, deposit.till = at.selling_day, at.moment, at.till
    deposit.seller, deposit.currency = at.seller or who, the_studio().currency
    deposit.made_by, deposit.made_at = who, now
    deposit.full_clean()
    deposit.save(force_insert=True)
    return deposit


def _the_same(made: Deposit, promise: Commitment, kind: str, amount: int) -> Deposit:
    refuse_other((made.commitment_id, made.kind, made.amount), (promise.pk, kind, amount))
    return made
