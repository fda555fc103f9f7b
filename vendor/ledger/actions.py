"""Every way in which stock and holds change: the only writer of the ledger.

Each verb takes a `key` of the document that causes it, `who` and `now`, is one transaction, and
answers a repeat of the same key with the entry that the first one made.
"""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.errors import HeldPiece, NothingToPost, ReversedAlready
from vendor.ledger.models import Balance, Entry, Hold, Place
from vendor.ledger.posting import (
    Draft,
    HoldChange,
    Move,
    balances_at,
    piece,
    post,
    posted_before,
    take_turn,
)
from vendor.ware.models import Grade, Ware

REMOVALS = (Place.Kind.BROKEN, Place.Kind.GIVEN, Place.Kind.TRADED, Place.Kind.OWN_USE)


@dataclass(frozen=True, slots=True)
class Line:
    """So many pieces (whole, above zero) of one ware and grade."""

    ware_id: int
    quantity: int
    grade: str = Grade.FIRST


@dataclass(frozen=True, slots=True)
class Counted:
    """What a physical count found of one ware and grade (zero or more)."""

    ware_id: int
    counted: int
    grade: str = Grade.FIRST


def the_place(kind: str) -> Place:
    """Return the one place of a kind of which there is one, making it when first needed."""
    if kind in Place.SEVERAL:
        raise ValueError(f"there may be several places of kind {kind}")
    return Place.objects.get_or_create(kind=kind, defaults={"name": Place.Kind(kind).label})[0]


def open_place(*, name: str, kind: str) -> Place:
    """Make a stall or a gallery; the one of that name where it is there already."""
    return Place.objects.get_or_create(name=name, defaults={"kind": kind})[0]


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
    source = the_place(outside)
    return post(
        Draft(
            key=key,
            kind=kind,
            who=who,
            now=now,
            happened_at=happened_at,
            moves=_moves(lines, source, into),
            reason=reason,
        )
    )


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
        moves, changes = _moves(lines, source, target), []
        for each in _still_open(holds, source):
            moves.append(Move(each.ware_id, each.grade, source, target, each.quantity))
            changes.append(HoldChange(each, source, -each.quantity))
            changes.append(HoldChange(each, target, each.quantity))
        return moves, changes

    said = _said(lines, source, target, holds)
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
        over = _still_open(overrides, source)
        missing = _missing(lines, source, over, not_the_held=not_the_held)
        moves = _moves(missing, the_place(Place.Kind.FOUND), source)
        moves += _moves(lines, source, the_place(Place.Kind.SOLD))
        return moves, [HoldChange(each, source, -each.quantity) for each in over]

    said = [_said(lines, source, None, overrides), not_the_held]
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
    return post(
        Draft(
            key=key,
            kind=Entry.Kind.RETURN,
            who=who,
            now=now,
            happened_at=happened_at,
            moves=_moves(lines, the_place(Place.Kind.SOLD), into),
            reason=_needed(reason),
        )
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
    return post(
        Draft(
            key=key,
            kind=Entry.Kind.REMOVAL,
            who=who,
            now=now,
            happened_at=happened_at,
            moves=_moves(lines, source, the_place(to)),
            reason=_needed(reason),
        )
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
    return post(
        Draft(
            key=key,
            kind=Entry.Kind.FINDING,
            who=who,
            now=now,
            happened_at=happened_at,
            moves=_moves(lines, the_place(Place.Kind.FOUND), at),
            reason=_needed(reason),
        )
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
    adjusted = the_place(Place.Kind.ADJUSTED)
    moves = _moves(lines, at, adjusted)
    moves += [Move(line.ware_id, to, adjusted, at, line.quantity) for line in lines]
    return post(
        Draft(
            key=key,
            kind=Entry.Kind.CORRECTION,
            who=who,
            now=now,
            happened_at=happened_at,
            moves=moves,
            reason=_needed(reason),
        )
    )


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
        moves = _differences(counts, at)
        if not moves:
            return None
        _needed(reason)
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
        key,
        Entry.Kind.REVERSAL,
        who,
        now,
        happened_at=happened_at,
        reason=_needed(reason),
        reverses=entry,
        said="mirror",
    )
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


def _moves(lines: Sequence[Line], source: Place, target: Place) -> list[Move]:
    return [Move(line.ware_id, line.grade, source, target, line.quantity) for line in lines]


def _said(
    lines: Sequence[Line], source: Place, target: Place | None, holds: Sequence[Hold]
) -> list[object]:
    spots = sorted((line.ware_id, line.grade, line.quantity) for line in lines)
    ends = [source.pk, target.pk if target else None]
    return [spots, ends, sorted(each.pk for each in holds)]


def _needed(reason: str) -> str:
    if not reason.strip():
        raise Refused("Please say why: a word or two is enough. Nothing was changed.")
    return reason.strip()


def _still_open(holds: Sequence[Hold], at: Place) -> list[Hold]:
    """Return the given holds as they are now, those that still hold something at a place."""
    keys = [each.pk for each in holds]
    return list(Hold.objects.filter(pk__in=keys, place=at, quantity__gt=0)) if keys else []


def _differences(counts: Sequence[Counted], at: Place) -> list[Move]:
    """Return the movements that bring a place from what is recorded to what was counted."""
    adjusted = the_place(Place.Kind.ADJUSTED)
    rows = balances_at((at.pk, count.ware_id, count.grade) for count in counts)
    moves = []
    for count in counts:
        row = rows.get((at.pk, count.ware_id, count.grade))
        difference = count.counted - (row.on_hand if row else 0)
        if difference > 0:
            moves.append(Move(count.ware_id, count.grade, adjusted, at, difference))
        elif difference < 0:
            moves.append(Move(count.ware_id, count.grade, at, adjusted, -difference))
    return moves


def _missing(
    lines: Sequence[Line], source: Place, over: Sequence[Hold], *, not_the_held: bool
) -> list[Line]:
    """Return what a sale needs beyond the free stock; HeldPiece where that may be a held one."""
    wanted: dict[tuple[int, str], int] = defaultdict(int)
    for line in lines:
        wanted[line.ware_id, line.grade] += line.quantity
    rows = balances_at((source.pk, ware_id, grade) for ware_id, grade in wanted)
    freed: dict[tuple[int, str], int] = defaultdict(int)
    for each in over:
        freed[each.ware_id, each.grade] += each.quantity
    missing = []
    for (ware_id, grade), quantity in wanted.items():
        row = rows.get((source.pk, ware_id, grade)) or Balance(on_hand=0, held=0)
        held = row.held - freed[ware_id, grade]
        short = quantity - (row.on_hand - held)
        if short <= 0:
            continue
        if held > 0 and not not_the_held:
            raise _held_piece(source, ware_id, grade, held)
        missing.append(Line(ware_id, short, grade))
    return missing


def _held_piece(source: Place, ware_id: int, grade: str, held: int) -> HeldPiece:
    holds = Hold.objects.filter(place=source, ware_id=ware_id, grade=grade, quantity__gt=0)
    name = piece(Ware.objects.named().get(pk=ware_id), grade)
    labels = ", ".join(hold.label for hold in holds)
    return HeldPiece(
        f"{held} of {name} on {source.name} is held ({labels}), and no free one is left there. "
        "Nothing was sold yet: say whether this is the held piece.",
        [hold.pk for hold in holds],
    )
