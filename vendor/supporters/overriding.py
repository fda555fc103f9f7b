"""What becomes of a promise when its held piece is sold at the stall, and when that is undone.

A second half of `actions`, by the same rules: the counter calls these in its own transaction.
"""

import datetime

from django.db import transaction

from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.ledger import holds
from vendor.ledger.models import Hold
from vendor.ledger.posting import take_turn
from vendor.supporters import offering, paying
from vendor.supporters.models import Commitment, Step
from vendor.supporters.steps import Act, let_go

State, What = Commitment.State, Step.What


def hold_overridden(
    *, hold: Hold, who: User, now: datetime.datetime, reason: str
) -> Commitment | None:
    """Put a promise back to owed after its held piece was sold by an explicit override.

    Called in the sale's own transaction, after the ledger ended the hold. Returns the promise, or
    None where the hold is no promise's (any more), so that a repeat changes nothing.
    """
    with transaction.atomic():
        take_turn()
        owner = Commitment.objects.with_a_piece().filter(hold_id=hold.pk).first()
        if owner is None:
            return None
        over = Hold.objects.get(pk=hold.pk)
        done = Act(_once(owner, over), What.OVERRIDDEN, owner, who, now)
        why = reason_of(reason, "the held piece is sold")
        if over.quantity:
            let_go(done, why)
        done.commitment.state, done.commitment.hold = State.OWED, None
        done.write("hold", "state", note=why)
    return done.commitment


def hold_restored(*, hold: Hold, who: User, now: datetime.datetime) -> Commitment | None:
    """Give a promise its piece back after the sale that overrode its hold was undone.

    Called in the undoing's own transaction, after the ledger restored the hold. Where the promise
    has another piece by now, or is over, the hold is released instead; and so is that of an early
    release which has ended since. Returns the promise, or None where the hold was never a
    promise's, or holds nothing.
    """
    with transaction.atomic():
        take_turn()
        back = Hold.objects.get(pk=hold.pk)
        sold = Commitment.objects.filter(hold=back, price__isnull=False).first()
        if sold is not None and back.quantity:
            return paying.not_sold(commitment=sold, who=who, now=now)
        step = Step.objects.filter(key__startswith=f"override:{hold.pk}:").last()
        if step is None or not back.quantity:
            offering.return_if_ended(hold=back, who=who, now=now)
            return None
        owner = step.commitment
        if owner.hold_id == back.pk:
            return owner
        done = Act(f"{step.key}:back", What.RESTORED, owner, who, now)
        if owner.state in Commitment.WITHOUT_A_PIECE:
            done.commitment.hold, done.commitment.state = back, State.HELD
            done.write("hold", "state")
        else:
            holds.release(
                key=f"promise-release:{done.key}",
                hold=back,
                who=who,
                now=now,
                reason=f"{owner} is “{owner.stage.lower()}” without it",
            )
            done.write("state", note="The piece went back to free stock.")
    return done.commitment


def _once(owner: Commitment, hold: Hold) -> str:
    """Return a key for one overriding of a hold: a restored hold can be overridden again."""
    times = owner.steps.filter(what=What.OVERRIDDEN).count()
    return f"override:{hold.pk}:{times}"
