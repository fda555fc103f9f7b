"""Setting pieces aside, giving them back, and letting them go to whom they are held for.

Like `actions`, of which this is the second half: keyword-only verbs, one transaction each, and a
repeat of the same key answers with what the first one made.
"""

import datetime

from django.db import transaction

from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.ledger.actions import the_place
from vendor.ledger.errors import NothingToPost
from vendor.ledger.models import Entry, Hold, Place
from vendor.ledger.posting import Draft, HoldChange, Move, post, posted_before, take_turn
from vendor.ware.models import Grade


def hold(
    *,
    key: str,
    ware_id: int,
    grade: str = Grade.FIRST,
    at: Place,
    quantity: int = 1,
    purpose: str,
    label: str,
    who: User,
    now: datetime.datetime,
) -> Hold:
    """Set free pieces aside for a named purpose; refused where fewer are free (HeldPiece).

    `label` says what for, without anybody's name: “Promise 12”.
    """
    if quantity <= 0:
        raise NothingToPost("A hold needs at least one piece. Nothing was changed.")
    said = [ware_id, grade, at.pk, quantity, purpose, label]
    draft = Draft(key, Entry.Kind.HOLDING, who, now, said=said)
    with transaction.atomic():
        take_turn()
        before = posted_before(key, draft.digest())
        if before is not None:
            return before.hold_lines.select_related("hold").get().hold
        new = Hold.objects.create(
            ware_id=ware_id, grade=grade, purpose=purpose, label=label, place=at, quantity=0
        )
        post(draft, lambda: ([], [HoldChange(new, at, quantity)]))
    return new


def release(*, key: str, hold: Hold, who: User, now: datetime.datetime, reason: str) -> Entry:
    """Give the pieces of a hold back to free stock, with a reason."""
    why = reason_of(reason, "the piece is released")

    def build() -> tuple[list[Move], list[HoldChange]]:
        fresh = _open_hold(hold)
        return [], [HoldChange(fresh, fresh.place, -fresh.quantity)]

    draft = Draft(key, Entry.Kind.RELEASE, who, now, reason=why, said=hold.pk)
    return post(draft, build)


def send(
    *,
    key: str,
    hold: Hold,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    to: str = Place.Kind.SENT,
    reason: str = "",
) -> Entry:
    """Let the held pieces go to whom they are held for: sent, or handed over (`to`)."""

    def build() -> tuple[list[Move], list[HoldChange]]:
        fresh = _open_hold(hold)
        out = Move(fresh.ware_id, fresh.grade, fresh.place, the_place(to), fresh.quantity)
        return [out], [HoldChange(fresh, fresh.place, -fresh.quantity)]

    said = [hold.pk, to]
    draft = Draft(
        key, Entry.Kind.SENDING, who, now, happened_at=happened_at, reason=reason, said=said
    )
    return post(draft, build)


def _open_hold(hold: Hold) -> Hold:
    fresh = Hold.objects.select_related("place").get(pk=hold.pk)
    if fresh.quantity == 0:
        raise Refused(f"{fresh.label} holds nothing any more. Nothing was changed.")
    return fresh
