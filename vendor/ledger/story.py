"""A ware's history entry by entry, with what then stood at each place (reads only).

Balances run in the order in which entries were recorded: that is the order in which the ledger
never went below zero. A sale that a phone sent late stands where it arrived, with its own day.
"""

from collections import defaultdict
from dataclasses import dataclass

from vendor.ledger.models import Entry, HoldLine, Movement, Place
from vendor.ware.models import Grade, Ware

SHELF_KEY = "shelf:"
"""How the keys of entries begin that were made on the Shelf pages themselves."""

_ELSEWHERE = {
    Entry.Kind.UNLOADING: "It belongs to a firing: undo the unloading there.",
    Entry.Kind.SALE: "It belongs to a sale: undo the sale there.",
    Entry.Kind.RETURN: "It belongs to a sale: it was taken back there.",
    Entry.Kind.SENDING: "It belongs to a promise that was sent.",
    Entry.Kind.HOLDING: "It belongs to a promise or an order: release the piece there.",
    Entry.Kind.RELEASE: "It belongs to a promise or an order: set the piece aside there again.",
    Entry.Kind.REVERSAL: "It is itself an undoing: enter what is right afresh.",
}


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a ware's history. `after` says what then stood where (“Studio shelf 12”)."""

    entry: Entry
    grade: str
    what: str
    way: str
    quantity: int
    after: str
    undone: bool

    @property
    def told(self) -> str:
        """Who entered it, and why."""
        return (
            f"{self.entry.who}: {self.entry.reason}" if self.entry.reason else str(self.entry.who)
        )

    @property
    def state(self) -> str:
        """Whether it has been undone since, or is itself an undoing."""
        if self.undone:
            return "undone"
        return "an undoing" if self.entry.kind == Entry.Kind.REVERSAL else ""


def story_of(ware: Ware) -> list[Step]:
    """Return what happened to a ware, the latest first (two statements)."""
    lines: list[tuple[int, int, Movement | HoldLine]] = []
    related = ("entry__who", "entry__reversed_by")
    for move in Movement.objects.filter(ware=ware).select_related("source", "target", *related):
        lines.append((move.entry_id, 0, move))
    for held in HoldLine.objects.filter(hold__ware=ware).select_related("hold", "place", *related):
        lines.append((held.entry_id, 1, held))
    lines.sort(key=lambda line: (line[0], line[1], line[2].pk))
    on_hand: dict[tuple[int, str], int] = defaultdict(int)
    on_hold: dict[tuple[int, str], int] = defaultdict(int)
    steps = [
        _moved(line, on_hand) if isinstance(line, Movement) else _held(line, on_hold)
        for _, _, line in lines
    ]
    return steps[::-1]


def _moved(line: Movement, on_hand: dict[tuple[int, str], int]) -> Step:
    """Return a movement as a step, and keep the running balance."""
    after = []
    for place, change in ((line.source, -line.quantity), (line.target, line.quantity)):
        if place.is_physical:
            on_hand[place.pk, line.grade] += change
            after.append(f"{place.name} {on_hand[place.pk, line.grade]:,}")
    return Step(
        entry=line.entry,
        grade=Grade(line.grade).label,
        what=line.entry.get_kind_display(),
        way=f"{line.source.name} → {line.target.name}",
        quantity=line.quantity,
        after=", ".join(after),
        undone=hasattr(line.entry, "reversed_by"),
    )


def _held(line: HoldLine, on_hold: dict[tuple[int, str], int]) -> Step:
    """Return a hold line as a step, and keep how many are held there."""
    spot = (line.place_id, line.hold.grade)
    on_hold[spot] += line.change
    return Step(
        entry=line.entry,
        grade=Grade(line.hold.grade).label,
        what="Held" if line.change > 0 else "Hold ended",
        way=f"{line.hold.label}, {line.place.name}",
        quantity=abs(line.change),
        after=f"{line.place.name} {on_hold[spot]:,} held",
        undone=hasattr(line.entry, "reversed_by"),
    )


def why_not_here(entry: Entry) -> str:
    """Say why an entry is not to be undone on the Shelf pages; empty where it may be.

    What a document of another part caused is undone by that document, or the two would disagree.
    """
    if hasattr(entry, "reversed_by"):
        return "It has been undone already."
    if entry.kind in _ELSEWHERE:
        return _ELSEWHERE[Entry.Kind(entry.kind)]
    if entry.kind == Entry.Kind.OPENING or entry.key.startswith(SHELF_KEY):
        return ""
    return "It belongs to a document elsewhere, such as a packing list or a count: undo it there."


def mirror_of(entry: Entry) -> list[tuple[Ware, str, int, Place, Place]]:
    """Return what undoing an entry moves: ware, grade, pieces, from and to (one statement)."""
    lines = entry.movements.select_related("ware__form", "ware__finish", "source", "target")
    return [(line.ware, line.grade, line.quantity, line.target, line.source) for line in lines]
