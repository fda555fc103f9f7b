"""What the ledger's verbs are told, and the movements that it comes to.

Private to the ledger but for `Line` and `Counted`, which callers reach through
`vendor.ledger.actions`. Nothing is written here.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from vendor.ledger.errors import HeldPiece
from vendor.ledger.models import Balance, Hold, Place
from vendor.ledger.posting import Move, balances_at, piece
from vendor.ware.models import Grade, Ware


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


def moves_of(lines: Sequence[Line], source: Place, target: Place) -> list[Move]:
    """Return the movements of lines from one place to another."""
    return [Move(line.ware_id, line.grade, source, target, line.quantity) for line in lines]


def said_of(
    lines: Sequence[Line], source: Place, target: Place | None, holds: Sequence[Hold]
) -> list[object]:
    """Return what was said, in an order of its own: the same said twice is equal."""
    spots = sorted((line.ware_id, line.grade, line.quantity) for line in lines)
    ends = [source.pk, target.pk if target else None]
    return [spots, ends, sorted(each.pk for each in holds)]


def still_open(holds: Sequence[Hold], at: Place) -> list[Hold]:
    """Return the given holds as they are now, those that still hold something at a place."""
    keys = [each.pk for each in holds]
    return list(Hold.objects.filter(pk__in=keys, place=at, quantity__gt=0)) if keys else []


def differences(counts: Sequence[Counted], at: Place, adjusted: Place) -> list[Move]:
    """Return the movements, from or to `adjusted`, from what is recorded to what was counted."""
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


def missing_of(
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
