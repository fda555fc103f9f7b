"""Letting held pieces go to the supporters they are held for, and undoing that.

A second half of `actions`, by the same rules.
"""

import datetime

from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.supporters.models import Commitment, Parcel, Step
from vendor.supporters.steps import Act, act, cleaned, reason_of

State, What = Commitment.State, Step.What


def send_reward(
    *,
    key: str,
    commitment: Commitment,
    who: User,
    now: datetime.datetime,
    carrier: str = "",
    tracking: str = "",
    cost: int | None = None,
    happened_at: datetime.datetime | None = None,
) -> Commitment:
    """Send the held piece to its supporter, in a parcel of its own. `cost` is in minor units."""
    with act(key, What.SENT, commitment, who, now) as done:
        done.only(*Commitment.WITH_A_PIECE, instead="hold a piece for it before it is sent.")
        if done.done_before:
            return done.commitment
        day = clock.day_of(happened_at or now, the_studio())
        parcel = Parcel(
            key=key,
            made_by=who,
            made_at=now,
            supporter=done.commitment.supporter,
            carrier=carrier.strip(),
            tracking=tracking.strip(),
            cost=cost,
            sent_on=day,
        )
        cleaned(parcel).save()
        done.commitment.parcel = parcel
        _let_out(done, State.SENT, happened_at)
    return done.commitment


def hand_over(
    *,
    key: str,
    commitment: Commitment,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
) -> Commitment:
    """Hand the held piece to its supporter, at the stall or in the studio."""
    with act(key, What.HANDED_OVER, commitment, who, now) as done:
        done.only(*Commitment.WITH_A_PIECE, instead="hold a piece for it before it is handed over.")
        if not done.done_before:
            _let_out(done, State.HANDED_OVER, happened_at)
    return done.commitment


def take_back(
    *, key: str, commitment: Commitment, who: User, now: datetime.datetime, reason: str
) -> Commitment:
    """Undo a sending or a handing over that did not happen: the piece is held again."""
    why = reason_of(reason, "Please say why it was not sent after all.")
    with act(key, What.TAKEN_BACK, commitment, who, now) as done:
        done.only(*Commitment.KEPT, instead="it has not gone out.")
        if done.done_before:
            return done.commitment
        promise = done.commitment
        assert promise.entry is not None
        ledger.reverse(key=f"promise-back:{key}", entry=promise.entry, who=who, now=now, reason=why)
        promise.state, promise.entry, promise.parcel = State.HELD, None, None
        promise.ended_at = promise.ended_by = None
        done.write("state", "entry", "parcel", "ended_at", "ended_by", note=why)
    return promise


def _let_out(done: Act, state: str, happened_at: datetime.datetime | None) -> None:
    """Let the held piece go to its supporter, and end the promise."""
    promise = done.commitment
    assert promise.hold is not None
    label = State(state).label
    promise.entry = holds.send(
        key=f"promise-out:{done.key}",
        hold=promise.hold,
        who=done.who,
        now=done.now,
        happened_at=happened_at,
        reason=f"{promise}, {label.lower()}",
    )
    promise.state, promise.ended_at, promise.ended_by = state, done.now, done.who
    done.write("state", "entry", "parcel", "ended_at", "ended_by")
