"""Promises made, kept and cancelled: what is owed to a supporter, and the piece set aside for it.

Keyword-only verbs, one transaction each; `who` and `now` are passed in, and `key` makes a repeat
change nothing. Stock itself changes through the ledger alone. Everybody's name stays out of the
ledger: a hold is labelled “Promise 12”.
"""

import datetime

from django.db import transaction

from vendor.house import clock
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.models import Balance, Hold, Place
from vendor.ledger.posting import piece, take_turn
from vendor.supporters import paying
from vendor.supporters.earning import promise_all_earned, promise_reward, refuse_unless_earned
from vendor.supporters.errors import NoFreePiece, NotThisPiece
from vendor.supporters.models import Commitment, Step, Supporter
from vendor.supporters.overriding import hold_overridden, hold_restored
from vendor.supporters.paying import pay_off, pay_on, sold
from vendor.supporters.people import add_supporter, change_supporter, the_customer
from vendor.supporters.sending import hand_over, send_reward, take_back
from vendor.supporters.steps import act, cleaned, let_go, next_number
from vendor.ware.models import Form, Grade, Ware

State, What = Commitment.State, Step.What
# The second halves are called through this one door as well.
__all__ = [
    "add_supporter",
    "cancel",
    "change_supporter",
    "hand_over",
    "hold_overridden",
    "hold_restored",
    "keep_piece",
    "move_held",
    "pay_off",
    "pay_on",
    "promise",
    "promise_all_earned",
    "promise_reward",
    "release_piece",
    "reopen",
    "send_reward",
    "sold",
    "take_back",
    "the_customer",
]


def promise(
    *,
    key: str,
    supporter: Supporter,
    ware: Ware | None = None,
    form: Form | None = None,
    choices: str = "",
    note: str = "",
    price: int | None = None,
    due_on: datetime.date | None = None,
    seconds_allowed: bool = False,
    who: User,
    now: datetime.datetime,
) -> Commitment:
    """Write down that a piece of a ware, or of a form, is owed to somebody, with their choices.

    With a `price` (minor units, with any tax in it) it is a commission: it is sold when it is
    handed over.
    """
    with transaction.atomic():
        take_turn()
        before = Commitment.objects.filter(key=key).first()
        if before is not None:
            return before
        new = Commitment(
            key=key, made_by=who, made_at=now, number=next_number(), supporter=supporter, ware=ware,
            form=None if ware is not None else form, choices=choices.strip(), note=note.strip(),
            price=price, promised_on=clock.day_of(now, the_studio()), due_on=due_on,
            seconds_allowed=seconds_allowed,
        )  # fmt: skip
        cleaned(new).save()
        Step.objects.create(
            key=key, made_by=who, made_at=now, commitment=new, what=What.PROMISED,
            note=new.piece_name,
        )  # fmt: skip
    return new


def keep_piece(
    *,
    key: str,
    commitment: Commitment,
    place: Place | None = None,
    ware: Ware | None = None,
    grade: str = Grade.FIRST,
    who: User,
    now: datetime.datetime,
) -> Commitment:
    """Set one free piece aside for a promise: its own ware, a first, on the studio shelf.

    Another place, ware or grade is taken where it is named. Refused: a promise that has its piece
    or is over (NotNow), no free piece there (NoFreePiece), and a second where the promise allows
    none (NotThisPiece).
    """
    with act(key, What.HELD, commitment, who, now) as done:
        done.only(*Commitment.WITHOUT_A_PIECE, instead="release its piece first to hold another.")
        if done.done_before:
            return done.commitment
        at = place or ledger.the_place(Place.Kind.STUDIO)
        taken = _piece_for(done.commitment, ware, grade)
        _refuse_none_free(taken, grade, at)
        done.commitment.hold = holds.hold(
            key=f"promise-hold:{key}",
            ware_id=taken.pk,
            grade=grade,
            at=at,
            purpose=Hold.Purpose.COMMITMENT,
            label=str(done.commitment),
            who=who,
            now=now,
        )
        done.commitment.state = State.HELD
        done.write("hold", "state", note=f"{piece(taken, grade)}, {at.name}")
    return done.commitment


def release_piece(
    *, key: str, commitment: Commitment, who: User, now: datetime.datetime, reason: str
) -> Commitment:
    """Give the piece that a promise holds back to free stock, with a reason; it is owed again."""
    why = reason_of(reason, "the piece is released")
    with act(key, What.RELEASED, commitment, who, now) as done:
        done.only(*Commitment.WITH_A_PIECE, instead="it holds no piece to release.")
        if not done.done_before:
            let_go(done, why)
            done.commitment.state = State.OWED
            done.write("hold", "state", note=why)
    return done.commitment


def move_held(
    *, key: str, commitment: Commitment, to: Place, who: User, now: datetime.datetime
) -> Commitment:
    """Carry the held piece to another place; it stays held there."""
    with act(key, What.MOVED, commitment, who, now) as done:
        done.only(*Commitment.WITH_A_PIECE, instead="it holds no piece to move.")
        hold = done.commitment.hold
        if not done.done_before and hold is not None:
            if hold.place_id == to.pk:
                return done.commitment
            ledger.move(
                key=f"promise-move:{key}",
                lines=[],
                source=hold.place,
                target=to,
                holds=[hold],
                who=who,
                now=now,
            )
            done.write("state", note=f"{hold.place.name} → {to.name}")
    return done.commitment


def cancel(
    *, key: str, commitment: Commitment, who: User, now: datetime.datetime, reason: str
) -> Commitment:
    """Cancel a promise with a reason; a piece that it holds goes back to free stock."""
    why = reason_of(reason, "the promise is cancelled")
    with act(key, What.CANCELLED, commitment, who, now) as done:
        done.only(*Commitment.OPEN, instead="it is over already.")
        if not done.done_before:
            paying.refuse_paid(done.commitment)
            if done.commitment.hold is not None:
                let_go(done, why)
            done.commitment.state, done.commitment.end_note = State.CANCELLED, why
            done.commitment.ended_at, done.commitment.ended_by = now, who
            done.write("hold", "state", "end_note", "ended_at", "ended_by", note=why)
    return done.commitment


def reopen(
    *, key: str, commitment: Commitment, who: User, now: datetime.datetime, reason: str
) -> Commitment:
    """Owe a cancelled promise again; its piece has to be held afresh."""
    why = reason_of(reason, "it is owed again")
    with act(key, What.REOPENED, commitment, who, now) as done:
        done.only(State.CANCELLED, instead="only a cancelled promise can be owed again.")
        if not done.done_before:
            refuse_unless_earned(done.commitment, clock.day_of(now, the_studio()))
            done.commitment.state, done.commitment.end_note = State.OWED, ""
            done.commitment.ended_at = done.commitment.ended_by = None
            done.write("state", "end_note", "ended_at", "ended_by", note=why)
    return done.commitment


def _piece_for(promise: Commitment, ware: Ware | None, grade: str) -> Ware:
    """Return the ware to hold for a promise; NotThisPiece where that can't keep it."""
    taken = ware or promise.ware
    if taken is None:
        raise NotThisPiece(
            f"{promise} does not say yet which ware it is: {promise.piece_name}. Nothing was "
            "changed: write the choices down first, or choose a piece for it."
        )
    if grade == Grade.SECOND and not promise.seconds_allowed:
        raise NotThisPiece(
            f"{promise} is owed a first, and a second was chosen. Nothing was changed: choose a "
            "first, or allow a second on the promise itself."
        )
    return taken


def _refuse_none_free(ware: Ware, grade: str, at: Place) -> None:
    row = Balance.objects.filter(place=at, ware=ware, grade=grade).first()
    if row is None or row.free <= 0:
        held = f", and all {row.held} there are held for others" if row and row.held else ""
        raise NoFreePiece(
            f"No free piece of {piece(ware, grade)} stands at “{at.name}”{held}. Nothing was "
            "changed: choose another piece or place, or note the promise for the next firing."
        )
