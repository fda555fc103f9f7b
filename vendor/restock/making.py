"""What to glaze and fire, and what to throw, for the rest of a fair: by which day, or too late.

Pure: days and pieces in, days and pieces out. What is short is short of a weekend; pieces for it
have to be out of the kiln on the day before the weekend begins. They come, in this order, out of
the kiln, from bisque on the boards, from raw pieces on the boards, from the wheel. How long each
way takes is the studio's own (`Pace`); where it was never measured there is no day to tell. Pieces
that no way brings in time are too late for their weekend, and are not wanted after it.
"""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum


class Way(Enum):
    """Where pieces come from, in the order in which they are asked for."""

    KILN = "in the kiln"
    GLAZE = "glaze and fire"
    BISQUE = "bisque fire"
    THROW = "throw"
    LATE = "too late"


@dataclass(frozen=True, slots=True)
class Pace:
    """The studio's own days: a firing until it is unloaded, and from bisque and from thrown to out.

    None where no batch or firing tells.
    """

    kiln: int | None = None
    bisque: int | None = None
    thrown: int | None = None


@dataclass(frozen=True, slots=True)
class Until:
    """A weekend by its number, and the day on which its pieces have to be out of the kiln."""

    number: int
    day: datetime.date


@dataclass(frozen=True, slots=True)
class Need:
    """A ware of a form, and how many pieces more of it each weekend asks for than there are.

    `worth` is what a piece sells for: where two want the same clay, the one that misses more by
    value is helped first, piece by piece.
    """

    ware: int
    form: int
    worth: int
    pieces: Sequence[int]


@dataclass(slots=True)
class Source:
    """Pieces on their way: of a ware in a kiln, or of a form on the boards (the other is None).

    `out_on` is the day by which they can be out, at the studio's pace; None where not measured.
    """

    way: Way
    pieces: int
    out_on: datetime.date | None
    ware: int | None = None
    form: int | None = None

    def serves(self, need: Need, until: Until) -> bool:
        """Whether its pieces can be what is needed, in time."""
        same = self.ware == need.ware if self.ware is not None else self.form == need.form
        return same and (self.out_on is None or self.out_on <= until.day)


@dataclass(frozen=True, slots=True)
class Task:
    """So many pieces for a weekend, by which way, and by which day at the latest.

    `by` is None for what is in the kiln or too late, and where the way was never measured.
    """

    way: Way
    pieces: int
    weekend: int
    by: datetime.date | None = None


def tasks(
    needs: Iterable[Need],
    *,
    weekends: Sequence[Until],
    sources: Iterable[Source],
    pace: Pace,
    today: datetime.date,
) -> dict[int, list[Task]]:
    """Return by ware how each shortage ends, weekend by weekend.

    `sources` are used up as they are given out, the nearest weekend first.
    """
    wanted = sorted(needs, key=lambda need: need.ware)
    pools = sorted(sources, key=lambda source: list(Way).index(source.way))
    found: dict[int, list[Task]] = defaultdict(list)
    for index, until in enumerate(weekends):
        missing = {need.ware: need.pieces[index] for need in wanted}
        taken: dict[int, Counter[Way]] = defaultdict(Counter)
        for source in pools:
            _give_out(
                source, [need for need in wanted if source.serves(need, until)], missing, taken
            )
        for need in wanted:
            for way, pieces in taken[need.ware].items():
                found[need.ware].append(Task(way, pieces, until.number, _by(way, until, pace)))
            if missing[need.ware]:
                found[need.ware].append(_from_the_wheel(missing[need.ware], until, pace, today))
    return dict(found)


def _give_out(
    source: Source,
    wanted: Sequence[Need],
    missing: dict[int, int],
    taken: dict[int, Counter[Way]],
) -> None:
    """Give the pieces of a source out one by one, each to the ware that misses most by value."""
    while source.pieces and (open_needs := [need for need in wanted if missing[need.ware]]):
        worst = max(open_needs, key=lambda need: need.worth * missing[need.ware])
        source.pieces -= 1
        missing[worst.ware] -= 1
        taken[worst.ware][source.way] += 1


def _by(way: Way, until: Until, pace: Pace) -> datetime.date | None:
    """Return the last day for a way: to fire glazed ware, or to fire the bisque before that."""
    parts = {Way.GLAZE: (pace.kiln,), Way.BISQUE: (pace.kiln, pace.bisque)}.get(way, ())
    days = [part for part in parts if part is not None]
    if not parts or len(days) < len(parts):
        return None
    return until.day - datetime.timedelta(days=sum(days))


def _from_the_wheel(pieces: int, until: Until, pace: Pace, today: datetime.date) -> Task:
    if pace.thrown is None:
        return Task(Way.THROW, pieces, until.number)
    by = until.day - datetime.timedelta(days=pace.thrown)
    if by < today:
        return Task(Way.LATE, pieces, until.number)
    return Task(Way.THROW, pieces, until.number, by)
