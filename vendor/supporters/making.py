"""What is to be made for promises, grouped as one works: thrown by form, glazed by finish.

Pure: plain values in, plain values out.
"""

import datetime
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Wanted:
    """One piece that is wanted: form and finish as far as known, and the other choices by name."""

    number: int
    form: str
    finish: str = ""
    options: tuple[tuple[str, str], ...] = ()
    lettering: tuple[str, ...] = ()
    note: str = ""
    due_on: datetime.date | None = None
    clay_g: int | None = None


@dataclass(frozen=True, slots=True)
class ToThrow:
    """All pieces of one form: how many, how the options split them, the clay in grams."""

    form: str
    count: int
    splits: tuple[tuple[str, int], ...]
    clay_g: int | None
    first_due: datetime.date | None
    wanted: tuple[Wanted, ...] = field(repr=False)

    @property
    def sentence(self) -> str:
        """“Tumbler: 5 (3 tall, 2 round)”."""
        split = ", ".join(f"{count} {name}" for name, count in self.splits)
        return f"{self.form}: {self.count}{f' ({split})' if split else ''}"


@dataclass(frozen=True, slots=True)
class MakingList:
    """What to throw and what to glaze. `open_finish` pieces have no finish chosen yet."""

    throw: tuple[ToThrow, ...]
    glaze: tuple[tuple[str, int], ...]
    open_finish: int

    @property
    def count(self) -> int:
        """All pieces."""
        return sum(each.count for each in self.throw)

    @property
    def sentence(self) -> str:
        """“throw 3 tall, 2 round; glaze 2 in celadon”: the whole list in one line."""
        parts = []
        if self.throw:
            parts.append("throw " + "; ".join(_thrown(each) for each in self.throw))
        if self.glaze:
            glazed = ", ".join(f"{count} in {finish}" for finish, count in self.glaze)
            parts.append(f"glaze {glazed}")
        return "; ".join(parts)


def grouped(wanted: Iterable[Wanted]) -> MakingList:
    """Return the making list of some wanted pieces, in the order of names; due first within."""
    pieces = sorted(
        wanted, key=lambda each: (each.form, each.due_on or datetime.date.max, each.number)
    )
    forms = sorted({each.form for each in pieces})
    finishes = Counter(each.finish for each in pieces if each.finish)
    return MakingList(
        tuple(_to_throw(form, [each for each in pieces if each.form == form]) for form in forms),
        tuple(sorted(finishes.items(), key=lambda item: (-item[1], item[0]))),
        sum(not each.finish for each in pieces),
    )


def _to_throw(form: str, pieces: Sequence[Wanted]) -> ToThrow:
    splits = Counter(value for each in pieces for _, value in each.options)
    clay = [each.clay_g for each in pieces]
    dues = [each.due_on for each in pieces if each.due_on]
    return ToThrow(
        form,
        len(pieces),
        tuple(sorted(splits.items(), key=lambda item: (-item[1], item[0]))),
        None if None in clay else sum(grams or 0 for grams in clay),
        min(dues, default=None),
        tuple(pieces),
    )


def _thrown(each: ToThrow) -> str:
    split = ", ".join(f"{count} {name}" for name, count in each.splits)
    return f"{each.count} {each.form} ({split})" if split else f"{each.count} {each.form}"
