"""What is paid for a commission before it is handed over, and its end by a sale.

A second half of `actions`, by the same rules. The money itself is the counter's to take and to give
back: it calls these in its own transaction.
"""

import datetime

from vendor.house.models import User
from vendor.ledger.models import Entry
from vendor.supporters.errors import NotNow
from vendor.supporters.models import Commitment, Step
from vendor.supporters.steps import Act, act

State, What = Commitment.State, Step.What
OFF = (What.PAID_BACK, What.FORFEITED)


def pay_on(
    *, key: str, commitment: Commitment, amount: int, who: User, now: datetime.datetime
) -> Commitment:
    """Note that so much was paid on an open commission in advance (minor units).

    Refused: what is no commission or is over (NotNow), and more than is left to pay (NotValid).
    """
    with act(key, What.PAID, commitment, who, now) as done:
        done.only(*Commitment.OPEN, instead="nothing is paid on it any more.")
        if not done.done_before:
            _refuse_unpriced(done.commitment)
            done.commitment.paid += amount
            done.write("paid")
    return done.commitment


def pay_off(
    *,
    key: str,
    commitment: Commitment,
    what: str,
    who: User,
    now: datetime.datetime,
) -> Commitment:
    """Note that all that was paid in advance went back, or is kept (`what`, one of `OFF`)."""
    if what not in OFF:
        raise ValueError(f"{what} is no way to be rid of a deposit")
    with act(key, what, commitment, who, now) as done:
        done.only(*Commitment.OPEN, instead="its deposit is settled.")
        if not done.done_before:
            done.commitment.paid = 0
            done.write("paid")
    return done.commitment


def sold(
    *, key: str, commitment: Commitment, entry: Entry, who: User, now: datetime.datetime
) -> Commitment:
    """Note that a commission's held piece was sold to its customer by an entry: it is handed over.

    Called in the sale's own transaction, after the ledger ended the hold.
    """
    with act(key, What.HANDED_OVER, commitment, who, now) as done:
        done.only(*Commitment.WITH_A_PIECE, instead="hold a piece for it before it is handed over.")
        if not done.done_before:
            _refuse_unpriced(done.commitment)
            promise = done.commitment
            promise.state, promise.entry = State.HANDED_OVER, entry
            promise.ended_at, promise.ended_by = now, who
            done.write("state", "entry", "ended_at", "ended_by")
    return done.commitment


def not_sold(*, commitment: Commitment, who: User, now: datetime.datetime) -> Commitment:
    """Hold a commission's piece again after the sale that handed it over was undone."""
    times = commitment.steps.filter(what=What.RESTORED).count()
    done = Act(f"unsold:{commitment.pk}:{times}", What.RESTORED, commitment, who, now)
    promise = done.commitment
    if promise.state == State.HANDED_OVER:
        promise.state, promise.entry = State.HELD, None
        promise.ended_at = promise.ended_by = None
        done.write("state", "entry", "ended_at", "ended_by")
    return promise


def refuse_priced(promise: Commitment) -> None:
    """Refuse (NotNow) to let go, or take back, without a sale, what was agreed at a price."""
    if promise.is_commission:
        raise NotNow(
            f"{promise} is a commission: it goes out with a sale of what is left to pay, and comes "
            "back when that sale is undone. Nothing was changed: open its price and deposit."
        )


def refuse_paid(promise: Commitment) -> None:
    """Refuse (NotNow) to end a promise whose deposit is neither paid back nor kept."""
    if promise.paid:
        raise NotNow(
            f"A deposit was paid on {promise}. Nothing was changed: cancel it from its price and "
            "deposit, where the deposit is paid back or kept."
        )


def _refuse_unpriced(promise: Commitment) -> None:
    if not promise.is_commission:
        raise NotNow(f"No price was agreed for {promise}. Nothing was changed.")
