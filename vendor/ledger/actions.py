"""Every way in which stock and holds change: the only writer of the ledger.

Each verb takes a `key` of the document that causes it, `who` and `now`, is one transaction, and
answers a repeat of the same key with the entry that the first one made.
"""

import datetime
from collections.abc import Sequence

from django.db import transaction

from vendor.house import changes
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.ledger.errors import NothingToPost, ReversedAlready
from vendor.ledger.lines import Counted as Counted
from vendor.ledger.lines import Line as Line
from vendor.ledger.lines import differences, missing_of, moves_of, said_of, still_open
from vendor.ledger.models import Entry, Hold, Place
from vendor.ledger.posting import Draft, HoldChange, Move, post, posted_before, take_turn

REMOVALS = (Place.Kind.BROKEN, Place.Kind.GIVEN, Place.Kind.TRADED, Place.Kind.OWN_USE)


def the_place(kind: str) -> Place:
    """Return the one place of a kind of which there is one, making it when first needed."""
    if kind in Place.SEVERAL:
        raise ValueError(f"there may be several places of kind {kind}")
    return Place.objects.get_or_create(kind=kind, defaults={"name": Place.Kind(kind).label})[0]


def open_place(*, name: str, kind: str, who: User, now: datetime.datetime) -> Place:
    """Make a stall or a gallery; the one of that name where it is there already.

    Refused: a name that stands for another place, or that one of which there is one will have.
    """
    alone = {Place.Kind(each).label for each in Place.Kind.values if each not in Place.SEVERAL}
    with transaction.atomic():
        take_turn()
        named = Place.objects.filter(name__iexact=name).first()
        if named is None and name.casefold() not in {label.casefold() for label in alone}:
            return changes.keep(Place(name=name, kind=kind), who=who, now=now)
        if named is None or named.kind != kind:
            raise Refused(f"“{name}” is another place. Nothing was changed: choose another name.")
    return named


def receive(
    *,
    key: str,
    lines: Sequence[Line],
    into: Place,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    kind: str = Entry.Kind.UNLOADING,
    reason: str = "",
) -> Entry:
    """Bring pieces in: out of the kiln, or as opening stock (`kind=Entry.Kind.OPENING`)."""
    outside = Place.Kind.ADJUSTED if kind == Entry.Kind.OPENING else Place.Kind.KILN
    moves = moves_of(lines, the_place(outside), into)
    return post(Draft(key, kind, who, now, happened_at=happened_at, moves=moves, reason=reason))


def move(
    *,
    key: str,
    lines: Sequence[Line],
    source: Place,
    target: Place,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    holds: Sequence[Hold] = (),
    reason: str = "",
) -> Entry:
    """Move free pieces between two physical places, and with them the pieces of `holds`.

    `lines` are the free pieces; each hold named brings its own pieces along and stays held.
    Refuses to move a held piece that is not named (HeldPiece), or more than there is (NotEnough).
    """

    def build() -> tuple[list[Move], list[HoldChange]]:
        moves, changes = moves_of(lines, source, target), []
        for each in still_open(holds, source):
            moves.append(Move(each.ware_id, each.grade, source, target, each.quantity))
            changes.append(HoldChange(each, source, -each.quantity))
            changes.append(HoldChange(each, target, each.quantity))
        return moves, changes

    said = said_of(lines, source, target, holds)
    draft = Draft(
        key, Entry.Kind.MOVING, who, now, happened_at=happened_at, reason=reason, said=said
    )
    return post(draft, build)


def sell(
    *,
    key: str,
    lines: Sequence[Line],
    source: Place,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    overrides: Sequence[Hold] = (),
    not_the_held: bool = False,
    reason: str = "",
) -> Entry:
    """Sell pieces that are in the customer's hands.

    Past the recorded count, the missing pieces are entered as found, in the same entry. A piece
    that may be a held one is refused (HeldPiece) until the seller says either whose hold is
    overridden (`overrides`; those holds end) or that it is not a held piece (`not_the_held`).
    """

    def build() -> tuple[list[Move], list[HoldChange]]:
        over = still_open(overrides, source)
        missing = missing_of(lines, source, over, not_the_held=not_the_held)
        moves = moves_of(missing, the_place(Place.Kind.FOUND), source)
        moves += moves_of(lines, source, the_place(Place.Kind.SOLD))
        return moves, [HoldChange(each, source, -each.quantity) for each in over]

    said = [said_of(lines, source, None, overrides), not_the_held]
    draft = Draft(key, Entry.Kind.SALE, who, now, happened_at=happened_at, reason=reason, said=said)
    return post(draft, build)


def take_back(
    *,
    key: str,
    lines: Sequence[Line],
    into: Place,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    reason: str,
) -> Entry:
    """Take sold pieces back from a customer."""
    why = reason_of(reason)
    moves = moves_of(lines, the_place(Place.Kind.SOLD), into)
    return post(
        Draft(key, Entry.Kind.RETURN, who, now, happened_at=happened_at, moves=moves, reason=why)
    )


def remove(
    *,
    key: str,
    lines: Sequence[Line],
    source: Place,
    to: str,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    reason: str,
) -> Entry:
    """Take free pieces out of stock unsold: broken, given, traded, own use (`to`)."""
    if to not in REMOVALS:
        raise ValueError(f"{to} is no way out for unsold ware")
    why = reason_of(reason)
    moves = moves_of(lines, source, the_place(to))
    return post(
        Draft(key, Entry.Kind.REMOVAL, who, now, happened_at=happened_at, moves=moves, reason=why)
    )


def find(
    *,
    key: str,
    lines: Sequence[Line],
    at: Place,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    reason: str,
) -> Entry:
    """Enter pieces that are there though the ledger did not know them."""
    why = reason_of(reason)
    moves = moves_of(lines, the_place(Place.Kind.FOUND), at)
    return post(
        Draft(key, Entry.Kind.FINDING, who, now, happened_at=happened_at, moves=moves, reason=why)
    )


def regrade(
    *,
    key: str,
    lines: Sequence[Line],
    at: Place,
    to: str,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    reason: str,
) -> Entry:
    """Enter pieces that stand at a place as of another grade: chipped, or a first after all.

    Both legs are in one entry, by way of what is adjusted; refused where fewer are free.
    """
    why = reason_of(reason)
    adjusted = the_place(Place.Kind.ADJUSTED)
    moves = moves_of(lines, at, adjusted)
    moves += [Move(line.ware_id, to, adjusted, at, line.quantity) for line in lines]
    return post(
        Draft(
            key, Entry.Kind.CORRECTION, who, now,
            happened_at=happened_at, moves=moves, reason=why,
        )
    )  # fmt: skip


def correct(
    *,
    key: str,
    counts: Sequence[Counted],
    at: Place,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    reason: str,
) -> Entry | None:
    """Set what stands at a place to what was counted; the difference is entered with its reason.

    Returns None where every count agrees. Refuses (HeldPiece) to count below what is held there.
    """
    if any(count.counted < 0 for count in counts):
        raise NothingToPost("A count can't be below zero. Nothing was changed.")
    said = [at.pk, sorted((count.ware_id, count.grade, count.counted) for count in counts)]
    draft = Draft(
        key, Entry.Kind.CORRECTION, who, now, happened_at=happened_at, reason=reason, said=said
    )
    with transaction.atomic():
        take_turn()
        before = posted_before(key, draft.digest())
        if before is not None:
            return before
        moves = differences(counts, at, the_place(Place.Kind.ADJUSTED))
        if not moves:
            return None
        reason_of(reason)
        return post(draft, lambda: (moves, []))


def reverse(
    *,
    key: str,
    entry: Entry,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
    reason: str,
) -> Entry:
    """Undo an entry by its mirror image, dated now unless told when.

    What never was (a sale rung up by mistake) is undone under its own day, so that a count of
    that day agrees with the book; what was and is taken back, under the day it comes back.

    Refused: an entry reversed before or itself a reversal (ReversedAlready), and one whose pieces
    have gone elsewhere since (NotEnough, HeldPiece).
    """

    def build() -> tuple[list[Move], list[HoldChange]]:
        if entry.kind == Entry.Kind.REVERSAL or Entry.objects.filter(reverses=entry).exists():
            raise ReversedAlready(
                "This entry has been undone already, or is itself an undoing. Nothing was changed."
            )
        mirror = [
            Move(line.ware_id, line.grade, line.target, line.source, line.quantity)
            for line in entry.movements.select_related("source", "target").order_by("-id")
        ]
        changes = [
            HoldChange(line.hold, line.place, -line.change)
            for line in entry.hold_lines.select_related("hold", "place").order_by("-id")
        ]
        return mirror, changes

    draft = Draft(
        key, Entry.Kind.REVERSAL, who, now,
        happened_at=happened_at, reason=reason_of(reason), reverses=entry, said="mirror",
    )  # fmt: skip
    return post(draft, build)


def close_through(*, place: Place, day: datetime.date) -> None:
    """Close a place up to and including a day, for good."""
    with transaction.atomic():
        take_turn()
        fresh = Place.objects.get(pk=place.pk)
        if fresh.closed_through is not None and fresh.closed_through >= day:
            raise Refused(
                f"{place.name} is closed up to {fresh.closed_through} already. Nothing was changed."
            )
        fresh.closed_through = day
        fresh.save(update_fields=["closed_through"])
        place.closed_through = day
