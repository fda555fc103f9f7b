"""How one entry gets into the ledger: checked, numbered, balanced, all or nothing.

Private to the ledger: `vendor.ledger.actions` holds the public verbs. Everything that changes
stock or holds comes through `post`, one at a time, so that what it read is still true when it
writes. The database's own constraints and triggers stand behind it.
"""

import datetime
import hashlib
import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from django.db import transaction
from django.db.models import F

from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.house.turns import take_turn as take_turn
from vendor.ledger.errors import DayClosed, HeldPiece, NotEnough, NothingToPost, refuse_other
from vendor.ledger.models import Balance, Entry, Hold, HoldLine, Movement, Place
from vendor.ware.models import Grade, Ware

Spot = tuple[int, int, str]  # place, ware, grade


@dataclass(frozen=True, slots=True)
class Move:
    """One movement to be posted."""

    ware_id: int
    grade: str
    source: Place
    target: Place
    quantity: int


@dataclass(frozen=True, slots=True)
class HoldChange:
    """One hold line to be posted: `change` pieces more (or fewer) held at `place`."""

    hold: Hold
    place: Place
    change: int


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry that is about to be posted."""

    key: str
    kind: str
    who: User
    now: datetime.datetime
    moves: Sequence[Move] = ()
    holds: Sequence[HoldChange] = ()
    happened_at: datetime.datetime | None = None
    reason: str = ""
    reverses: Entry | None = None
    # What the sender said, where the lines depend on the stock of the moment (a sale's found
    # pieces): the same words sent again are then the same entry whatever the stock is now.
    said: object = field(default=None)

    def digest(self) -> str:
        """Return a fingerprint of what was said, to tell a repeat from a reused key."""
        said = self.said
        if said is None:
            moves = [
                (move.ware_id, move.grade, move.source.pk, move.target.pk, move.quantity)
                for move in self.moves
            ]
            holds = [(change.hold.pk, change.place.pk, change.change) for change in self.holds]
            said = [sorted(moves), sorted(holds)]
        reverses = self.reverses.pk if self.reverses else None
        text = json.dumps([self.kind, said, self.reason, reverses], default=str)
        return hashlib.sha256(text.encode()).hexdigest()


Build = Callable[[], tuple[Sequence[Move], Sequence[HoldChange]]]


def posted_before(key: str, digest: str) -> Entry | None:
    """Return the entry that this key has already made, or None.

    KeyReused where the key came with other contents.
    """
    entry = Entry.objects.filter(key=key).first()
    if entry is not None:
        refuse_other(entry.digest, digest)
    return entry


def post(draft: Draft, build: Build | None = None) -> Entry:
    """Post an entry, once: the same key and contents again answer with the first one.

    Lines that depend on the stock of the moment come from `build`, called once it is this
    writer's turn. Refused as a whole: NothingToPost, DayClosed, NotEnough, HeldPiece, KeyReused.
    """
    digest = draft.digest()
    with transaction.atomic():
        take_turn()
        before = posted_before(draft.key, digest)
        if before is not None:
            return before
        if build is not None:
            moves, holds = build()
            draft = replace(draft, moves=moves, holds=holds)
        _refuse_nothing(draft)
        happened_at = draft.happened_at or draft.now
        day = clock.day_of(happened_at, the_studio())
        _refuse_closed(draft, day)
        _refuse_anothers(draft.holds)
        changes = _changes(draft)
        _refuse_shortage(changes)
        entry = Entry.objects.create(
            key=draft.key,
            digest=digest,
            kind=draft.kind,
            day=day,
            happened_at=happened_at,
            recorded_at=draft.now,
            who=draft.who,
            reason=draft.reason,
            reverses=draft.reverses,
        )
        _write_lines(entry, draft)
        _write_balances(changes)
        _write_holds(draft.holds)
    return entry


def balances_at(spots: Iterable[Spot]) -> dict[Spot, Balance]:
    """Return the balance rows of the spots that have one."""
    wanted = set(spots)
    rows = Balance.objects.filter(
        place_id__in={spot[0] for spot in wanted}, ware_id__in={spot[1] for spot in wanted}
    )
    found = {(row.place_id, row.ware_id, row.grade): row for row in rows}
    return {spot: row for spot, row in found.items() if spot in wanted}


def piece(ware: Ware, grade: str) -> str:
    """Return a ware and grade in words."""
    return f"{ware.name} (second)" if grade == Grade.SECOND else ware.name


def _refuse_nothing(draft: Draft) -> None:
    if not draft.moves and not draft.holds:
        raise NothingToPost("There is nothing to enter: no line has a piece. Nothing was changed.")
    if any(move.quantity <= 0 for move in draft.moves):
        raise NothingToPost("Every line needs at least one piece. Nothing was changed.")


def _refuse_closed(draft: Draft, day: datetime.date) -> None:
    places = {move.source.pk for move in draft.moves} | {move.target.pk for move in draft.moves}
    places |= {change.place.pk for change in draft.holds}
    closed = Place.objects.filter(pk__in=places, closed_through__gte=day).first()
    if closed is not None:
        raise DayClosed(
            f"{closed.name} is closed up to and including {closed.closed_through}, and this is "
            f"dated {day}. Nothing was changed: enter it under an open day, with a reason."
        )


def _refuse_anothers(changes: Sequence[HoldChange]) -> None:
    """Refuse to take from a hold what it has not there: it would be a neighbour's piece."""
    taken: dict[tuple[int, int], int] = defaultdict(int)
    for change in changes:
        taken[change.hold.pk, change.place.pk] -= change.change
    taken = {spot: pieces for spot, pieces in taken.items() if pieces > 0}
    rows = Hold.objects.select_related("place").in_bulk([hold_id for hold_id, _ in taken])
    for (hold_id, place_id), pieces in taken.items():
        hold = rows[hold_id]
        if pieces > (hold.quantity if hold.place_id == place_id else 0):
            now = f"at {hold.place.name} by now" if hold.quantity else "at an end"
            raise HeldPiece(
                f"What is held for {hold.label} is {now}. Nothing was changed: "
                "what was done with it since has to be undone first.",
                [hold_id],
            )


def _changes(draft: Draft) -> dict[Spot, tuple[int, int]]:
    """Return by spot how on-hand and held change."""
    on_hand: dict[Spot, int] = defaultdict(int)
    held: dict[Spot, int] = defaultdict(int)
    for move in draft.moves:
        if move.source.is_physical:
            on_hand[move.source.pk, move.ware_id, move.grade] -= move.quantity
        if move.target.is_physical:
            on_hand[move.target.pk, move.ware_id, move.grade] += move.quantity
    for change in draft.holds:
        held[change.place.pk, change.hold.ware_id, change.hold.grade] += change.change
    spots = sorted(on_hand.keys() | held.keys())
    return {spot: (on_hand[spot], held[spot]) for spot in spots}


def _refuse_shortage(changes: dict[Spot, tuple[int, int]]) -> None:
    rows = balances_at(changes)
    for spot, (on_hand, held) in changes.items():
        row = rows.get(spot) or Balance(on_hand=0, held=0)
        left, held_then = row.on_hand + on_hand, row.held + held
        if left >= 0 and 0 <= held_then <= left:
            continue
        ware = Ware.objects.named().get(pk=spot[1])
        name, place = piece(ware, spot[2]), Place.objects.get(pk=spot[0])
        if left < 0:
            raise NotEnough(
                f"{place.name} has {row.on_hand} of {name}, and this needs {-on_hand}. "
                "Nothing was changed: check the number, or count the shelf first."
            )
        holds = list(Hold.objects.filter(place=place, ware=ware, grade=spot[2], quantity__gt=0))
        labels = ", ".join(hold.label for hold in holds) or "nothing"
        raise HeldPiece(
            f"{place.name} has {row.on_hand} of {name}, of which {row.held} are held ({labels}), "
            f"so {row.on_hand - row.held} are free. Nothing was changed: release the hold first.",
            [hold.pk for hold in holds],
        )


def _write_lines(entry: Entry, draft: Draft) -> None:
    Movement.objects.bulk_create(
        Movement(
            entry=entry,
            ware_id=move.ware_id,
            grade=move.grade,
            source=move.source,
            target=move.target,
            quantity=move.quantity,
        )
        for move in draft.moves
    )
    HoldLine.objects.bulk_create(
        HoldLine(entry=entry, hold=change.hold, place=change.place, change=change.change)
        for change in draft.holds
    )


def _write_balances(changes: dict[Spot, tuple[int, int]]) -> None:
    for (place_id, ware_id, grade), (on_hand, held) in changes.items():
        if not on_hand and not held:
            continue
        updated = Balance.objects.filter(place_id=place_id, ware_id=ware_id, grade=grade).update(
            on_hand=F("on_hand") + on_hand, held=F("held") + held
        )
        if not updated:
            Balance.objects.create(
                place_id=place_id, ware_id=ware_id, grade=grade, on_hand=on_hand, held=held
            )


def _write_holds(changes: Sequence[HoldChange]) -> None:
    """Bring each hold's own quantity and place up to date with its new lines."""
    by_hold: dict[int, list[HoldChange]] = defaultdict(list)
    for change in changes:
        by_hold[change.hold.pk].append(change)
    for hold_changes in by_hold.values():
        hold = hold_changes[0].hold
        hold.quantity += sum(change.change for change in hold_changes)
        gained = [change.place for change in hold_changes if change.change > 0]
        if gained:
            hold.place = gained[-1]
        hold.save(update_fields=["quantity", "place"])
