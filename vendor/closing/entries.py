"""What a figure of the equation is made of: the entries behind one ware and grade of a stall.

A named read in a fixed number of statements. Nothing here writes.
"""

from dataclasses import dataclass

from django.db.models import Q

from vendor.closing.equation import column_of
from vendor.closing.models import Closing, StallCount
from vendor.closing.pages import POTS
from vendor.closing.queries import closed_before
from vendor.fairs.models import Weekend
from vendor.ledger.models import Entry, Movement


@dataclass(frozen=True, slots=True)
class Part:
    """One movement as it counts in a column (pieces; below zero: it takes one off there)."""

    entry: Entry
    way: str
    pieces: int


@dataclass(frozen=True, slots=True)
class Figure:
    """One column of the equation: its name, head and parts, which come to its figure."""

    name: str
    head: str
    parts: tuple[Part, ...]

    @property
    def total(self) -> int:
        """The figure itself (pieces)."""
        return sum(part.pieces for part in self.parts)


@dataclass(frozen=True, slots=True)
class Opened:
    """The figures of one ware and grade, and the statement whose end was the opening."""

    figures: tuple[Figure, ...]
    before: Closing | None


def opened(weekend: Weekend, ware_id: int, grade: str) -> Opened:
    """Return every column in which something happened, entry by entry (three statements).

    The closing's own entries are left out: they are what the statement led to. The opening is
    everything before the weekend, back to the first entry.
    """
    closing = Closing.objects.filter(weekend=weekend).first()
    after = closing.after if closing else closed_before(weekend)
    before = None
    if after is not None:
        before = Closing.objects.get(weekend__fair_id=weekend.fair_id, last_day=after)
    stall = weekend.fair.stall
    moves = (
        Movement.objects.filter(
            Q(source=stall) | Q(target=stall),
            ware=ware_id,
            grade=grade,
            entry__day__lte=weekend.last_day,
        )
        .select_related("entry__who", "source", "target")
        .order_by("entry__happened_at", "id")
    )
    own = {closing.correction_id, closing.taken_home_id} if closing else set()
    parts: dict[str, list[Part]] = {}
    for move in moves:
        if move.entry_id in own:
            continue
        incoming = move.target_id == stall.pk
        other = move.source if incoming else move.target
        if after is not None and move.entry.day <= after:
            name, sign = "opening", 1 if incoming else -1
        else:
            reversal = move.entry.kind == Entry.Kind.REVERSAL
            name, sign = column_of(other.kind, incoming=incoming, reversal=reversal)
        way = f"{move.source} → {move.target}"
        parts.setdefault(name, []).append(Part(move.entry, way, sign * move.quantity))
    return Opened(
        tuple(Figure(name, head, tuple(parts[name])) for name, head in POTS if name in parts),
        before,
    )


def acts_of(weekend: Weekend, ware_id: int, grade: str) -> list[StallCount]:
    """Return every act of counting one ware and grade, with what undid it (one statement)."""
    rows = StallCount.objects.filter(weekend=weekend, ware_id=ware_id, grade=grade)
    named = rows.select_related("made_by", "in_pass", "held", "undone_by")
    return list(named.order_by("version"))
