"""Letting held pieces go to the supporters they are held for, and undoing that.

A second half of `actions`, by the same rules.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from vendor.house import clock
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.posting import take_turn
from vendor.supporters.errors import NotNow
from vendor.supporters.models import Commitment, Parcel, Step
from vendor.supporters.paying import refuse_priced
from vendor.supporters.steps import Act, act, cleaned

State, What = Commitment.State, Step.What


@dataclass(frozen=True, slots=True)
class Posted:
    """How a parcel goes out; `cost` is the postage in minor units."""

    carrier: str = ""
    tracking: str = ""
    cost: int | None = None


def pack(*, key: str, commitment: Commitment, who: User, now: datetime.datetime) -> Commitment:
    """Note that the held piece is packed, and only waits to be sent."""
    with act(key, What.PACKED, commitment, who, now) as done:
        done.only(State.HELD, instead="hold a piece for it before it is packed.")
        if not done.done_before:
            done.commitment.state = State.PACKED
            done.write("state")
    return done.commitment


def unpack(*, key: str, commitment: Commitment, who: User, now: datetime.datetime) -> Commitment:
    """Note that the packed piece is unpacked again; it stays held."""
    with act(key, What.UNPACKED, commitment, who, now) as done:
        done.only(State.PACKED, instead="it is not packed.")
        if not done.done_before:
            done.commitment.state = State.HELD
            done.write("state")
    return done.commitment


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
    posted = Posted(carrier, tracking, cost)
    return send_parcel(
        key=key, commitments=[commitment], posted=posted, who=who, now=now, happened_at=happened_at
    )[0]


def send_parcel(
    *,
    key: str,
    commitments: Sequence[Commitment],
    posted: Posted,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
) -> list[Commitment]:
    """Send the held pieces of one supporter in one parcel, all or none.

    Refuses (NotNow) pieces of several supporters, and a promise without a held piece.
    """
    if len({each.supporter_id for each in commitments}) != 1:
        raise NotNow("A parcel goes to one supporter. Nothing was sent.")
    sent = []
    with transaction.atomic():
        take_turn()
        parcel = Parcel.objects.filter(key=key).first()
        for nth, commitment in enumerate(sorted(commitments, key=lambda each: each.number)):
            own = key if len(commitments) == 1 else f"{key}:{nth}"
            done = Act(own, What.SENT, commitment, who, now)
            refuse_priced(done.commitment)
            done.only(*Commitment.WITH_A_PIECE, instead="hold a piece for it before it is sent.")
            if not done.done_before:
                parcel = parcel or _new_parcel(key, done, posted, happened_at)
                done.commitment.parcel = parcel
                _let_out(done, State.SENT, happened_at)
            sent.append(done.commitment)
    return sent


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
        refuse_priced(done.commitment)
        done.only(*Commitment.WITH_A_PIECE, instead="hold a piece for it before it is handed over.")
        if not done.done_before:
            _let_out(done, State.HANDED_OVER, happened_at)
    return done.commitment


def take_back(
    *, key: str, commitment: Commitment, who: User, now: datetime.datetime, reason: str
) -> Commitment:
    """Undo a sending or a handing over that did not happen: the piece is held again."""
    why = reason_of(reason, "it was not sent after all")
    with act(key, What.TAKEN_BACK, commitment, who, now) as done:
        refuse_priced(done.commitment)
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


def _new_parcel(
    key: str, done: Act, posted: Posted, happened_at: datetime.datetime | None
) -> Parcel:
    parcel = Parcel(
        key=key,
        made_by=done.who,
        made_at=done.now,
        supporter=done.commitment.supporter,
        carrier=posted.carrier.strip(),
        tracking=posted.tracking.strip(),
        cost=posted.cost,
        sent_on=clock.day_of(happened_at or done.now, the_studio()),
    )
    cleaned(parcel).save()
    return parcel
