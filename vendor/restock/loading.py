"""What to load when not all that is wanted fits the van or is free.

Pieces go one by one, each time the one whose expected revenue is the highest for the room it
takes. The k-th piece of a ware on the stall earns its price with probability Pr(D >= k), which
falls with k, so a ware's pieces are always taken in order. Hence, where all pieces take the same
room, no other choice earns more: the pieces taken are simply the best of all. Where rooms differ
the choice may fall short of the best possible, by no more than the room left over would have
earned at the going rate; that bound is given with the result (the bound of Dantzig 1957 for the
knapsack problem).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from math import ceil, floor
from typing import NamedTuple

from vendor.restock.quantities import Demand, quantity_for


@dataclass(frozen=True, slots=True)
class Candidate:
    """A ware that could be loaded.

    `price` in minor units; `room` that one piece takes, any whole unit (the van's room is in the
    same); `free` pieces not held for anyone; `there` pieces already on the stall; `service_level`
    as in `quantities.quantity_for`.
    """

    ware: int
    demand: Demand
    price: int
    room: int
    free: int
    service_level: float
    there: int = 0

    def __post_init__(self) -> None:
        if self.room <= 0 or min(self.price, self.free, self.there) < 0:
            raise ValueError(f"Room is above 0, price and pieces not below: {self}.")


class Limit(Enum):
    """What kept the quantity below what demand asks for."""

    NONE = "none"
    THERE = "enough is there"
    STOCK = "free stock"
    ROOM = "room in the van"


@dataclass(frozen=True, slots=True)
class Line:
    """How many of one ware to bring.

    `wanted` pieces should stand on the stall in all, `there` of them already do, `free` could be
    brought, `bring` are. `gain` is the revenue that the pieces brought should add, minor units,
    rounded half up for display.
    """

    ware: int
    wanted: int
    there: int
    free: int
    bring: int
    limit: Limit
    gain: int


@dataclass(frozen=True, slots=True)
class Load:
    """What to bring of all ware, in the order of the ware's numbers.

    `room` is taken of the van, in the candidates' unit. `gain` is the revenue that the load should
    add, and `most_missed` what the best possible load could add to that (0 where all rooms are
    equal or all fits): minor units, rounded half up and up.
    """

    lines: tuple[Line, ...]
    room: int
    gain: int
    most_missed: int


class _Piece(NamedTuple):
    """One more piece of a ware: what it should earn, and the room it takes."""

    gain: float
    room: int
    ware: int


def plan_load(candidates: Iterable[Candidate], *, room: int | None = None) -> Load:
    """Choose what to bring; `room` is the van's, None when there is enough for all.

    Never more of a ware than its demand asks for or than is free. Ties go to the lower ware
    number, so that the order of the candidates makes no difference. Raises ValueError when a ware
    comes twice.
    """
    offered = sorted(candidates, key=lambda each: each.ware)
    if len({each.ware for each in offered}) < len(offered):
        raise ValueError("A ware comes once in a load.")
    wanted = {each.ware: quantity_for(each.demand, each.service_level) for each in offered}
    pieces = [p for each in offered for p in _pieces(each, wanted[each.ware])]
    # Sorting is stable: pieces of one ware keep their order, equal ones that of their ware.
    pieces.sort(key=lambda piece: -piece.gain / piece.room)
    taken, most_missed = _take(pieces, room)
    gains: dict[int, list[float]] = {each.ware: [] for each in offered}
    for piece in taken:
        gains[piece.ware].append(piece.gain)
    return Load(
        lines=tuple(_line(each, wanted[each.ware], gains[each.ware]) for each in offered),
        room=sum(piece.room for piece in taken),
        gain=_whole(sum(piece.gain for piece in taken)),
        # A hair of rounding is no missed cent.
        most_missed=ceil(most_missed - 1e-6),
    )


def _pieces(candidate: Candidate, wanted: int) -> Iterator[_Piece]:
    """Yield the pieces worth bringing, each earning no more than the one before."""
    least = float("inf")
    last = min(wanted, candidate.there + candidate.free)
    for count in range(candidate.there + 1, last + 1):
        # The minimum only irons out the last bit of the distribution function.
        least = min(least, candidate.price * candidate.demand.at_least(count))
        yield _Piece(least, candidate.room, candidate.ware)


def _take(pieces: Sequence[_Piece], room: int | None) -> tuple[list[_Piece], float]:
    """Take pieces in order while they fit; also the most that any other choice could add.

    Up to the first piece that doesn't fit the choice is the best there is, and cutting that piece
    to fit would fill the room at a rate that no piece after it beats.
    """
    taken: list[_Piece] = []
    left = float("inf") if room is None else room
    bound: float | None = None
    for piece in pieces:
        if piece.room <= left:
            taken.append(piece)
            left -= piece.room
        elif bound is None:
            bound = sum(each.gain for each in taken) + piece.gain * left / piece.room
    gain = sum(each.gain for each in taken)
    return taken, 0.0 if bound is None else max(bound - gain, 0.0)


def _line(candidate: Candidate, wanted: int, gains: Sequence[float]) -> Line:
    """Put the pieces taken of one ware on a line, with what limited them."""
    short, bring = wanted - candidate.there, len(gains)
    if bring < min(short, candidate.free):
        limit = Limit.ROOM
    elif bring < short:
        limit = Limit.STOCK
    else:
        limit = Limit.NONE if short > 0 or wanted == 0 else Limit.THERE
    return Line(
        ware=candidate.ware,
        wanted=wanted,
        there=candidate.there,
        free=candidate.free,
        bring=bring,
        limit=limit,
        gain=_whole(sum(gains)),
    )


def _whole(amount: float) -> int:
    """Round an expected amount to whole minor units, half up."""
    return floor(amount + 0.5)
