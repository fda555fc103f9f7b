"""What all acts of counting one ware and grade come to: how many, in which passes, by whom.

Pure: rows in, figures out. An act says that so many are all there is, or that so many stand there
besides; one that was undone counts as if it had never been; a reason changes no figure.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from vendor.closing.models import CountPass, StallCount
from vendor.house.models import User

Spot = tuple[int, str]  # ware, grade


@dataclass(frozen=True, slots=True)
class Part:
    """What one pass, or one person by typing, counted of it (pieces), and when last."""

    in_pass: CountPass | None
    who: User
    pieces: int
    at: datetime.datetime

    @property
    def where(self) -> str:
        """Which corner or time round it was, in a word or two; empty for the first."""
        return self.in_pass.told if self.in_pass else ""


@dataclass(frozen=True, slots=True)
class Tally:
    """All that was counted of one ware and grade, the last act of counting, the held ones seen."""

    parts: tuple[Part, ...]
    last: StallCount
    held: tuple[int, ...] = ()

    @property
    def counted(self) -> int:
        """Pieces counted, all together."""
        return sum(part.pieces for part in self.parts)

    @property
    def is_running(self) -> bool:
        """Whether a pass that counted some of it is still going on."""
        return any(part.in_pass and part.in_pass.ended_at is None for part in self.parts)

    @property
    def version(self) -> int:
        """Which act it was, from 1."""
        return self.last.version

    @property
    def made_by(self) -> User:
        """Who counted last."""
        return self.last.made_by

    @property
    def made_at(self) -> datetime.datetime:
        """When that was."""
        return self.last.made_at

    def by(self, in_pass: CountPass) -> int | None:
        """Return what a pass counted of it (pieces), None for nothing."""
        found = (part for part in self.parts if part.in_pass and part.in_pass.pk == in_pass.pk)
        return next((part.pieces for part in found), None)


def tally_of(rows: Sequence[StallCount]) -> Tally | None:
    """Return what the acts of one ware and grade come to, in the order of their versions."""
    if not rows:
        return None
    undone = {row.undoes_id for row in rows if row.undoes_id is not None}
    parts: dict[tuple[int | None, int], Part] = {}
    held: list[int] = []
    for row in rows:
        if row.reason or row.undoes_id is not None or row.pk in undone:
            continue
        # A pass is one person's going round; what was typed outside of one is its writer's.
        name = (row.in_pass_id, 0 if row.in_pass_id else row.made_by_id)
        before = parts.get(name)
        if not row.more:
            parts, held, before = {}, [], None
        pieces = (before.pieces if before else 0) + (row.more or row.counted or 0)
        parts[name] = Part(row.in_pass, row.made_by, pieces, row.made_at)
        if row.held_id is not None:
            held.append(row.held_id)
    return Tally(tuple(parts.values()), rows[-1], tuple(held))


def tallies(rows: Iterable[StallCount]) -> dict[Spot, Tally]:
    """Return the tally of every ware and grade among rows that come in the order of versions."""
    by_spot: dict[Spot, list[StallCount]] = {}
    for row in rows:
        by_spot.setdefault((row.ware_id, row.grade), []).append(row)
    found = {spot: tally_of(chain) for spot, chain in by_spot.items()}
    return {spot: tally for spot, tally in found.items() if tally is not None}
