"""What a weekend's closing knows of the pots, by ware and grade, and how they compare.

Named reads in a fixed number of statements. Nothing here writes.
"""

import datetime
from dataclasses import dataclass

from vendor.closing.equation import Pots, pots
from vendor.closing.models import Closing, StallCount
from vendor.closing.tally import Spot, Tally, tallies
from vendor.fairs.models import Weekend
from vendor.ledger import queries as ledger
from vendor.ledger.posting import piece
from vendor.ware.models import Ware

NOTHING = Pots()


@dataclass(frozen=True, slots=True)
class StallLine:
    """One ware and grade on the stall: its equation, and what was counted of it, if anything."""

    ware: Ware
    grade: str
    pots: Pots
    tally: Tally | None = None

    @property
    def name(self) -> str:
        """The ware and grade in words."""
        return piece(self.ware, self.grade)

    @property
    def expected(self) -> int:
        """What should stand there (pieces)."""
        return self.pots.expected

    @property
    def running(self) -> Tally | None:
        """What a pass that still goes on has counted of it so far: not a count yet."""
        return self.tally if self.tally and self.tally.is_running else None

    @property
    def count(self) -> Tally | None:
        """What was counted of it, None before or while it is being counted."""
        return self.tally if self.tally and self.tally.parts and not self.running else None

    @property
    def counted(self) -> int | None:
        """What was counted (pieces), None before."""
        return self.count.counted if self.count else None

    @property
    def version(self) -> int:
        """Which act of counting this is, 0 before the first."""
        return self.tally.version if self.tally else 0

    @property
    def variance(self) -> int | None:
        """Counted less expected (pieces), None before the count."""
        return self.pots.variance(self.count.counted) if self.count else None

    @property
    def difference(self) -> str:
        """What a reason has to explain, as it is written down beside it; empty: nothing."""
        if not self.count or not (self.variance or self.pots.found):
            return ""
        return f"{self.variance:+d} found {self.pots.found}"

    @property
    def reason(self) -> str:
        """Why it differs; empty where the reason given was for another difference."""
        if self.count and self.count.last.explains == self.difference:
            return self.count.last.reason
        return ""

    @property
    def is_open(self) -> bool:
        """Whether a reason is still owed."""
        return bool(self.difference) and not self.reason

    @property
    def missing(self) -> int:
        """How many pieces are missing (0 where none are, or before the count)."""
        return max(0, -(self.variance or 0))

    @property
    def net(self) -> int:
        """Pieces too many, those found while selling among them; below zero: missing."""
        return (self.variance or 0) + self.pots.found


def closed_before(weekend: Weekend) -> datetime.date | None:
    """Return the last closed day before a weekend: its pots' opening is how that day ended."""
    return (
        Closing.objects.filter(weekend__fair_id=weekend.fair_id, last_day__lt=weekend.first_day)
        .order_by("-last_day")
        .values_list("last_day", flat=True)
        .first()
    )


def stall_lines(weekend: Weekend) -> list[StallLine]:
    """Return the equation of each ware and grade that was on the stall, in the order of lists.

    What neither moved nor was counted is left out. Five statements.
    """
    return _lines(weekend, None)


def line_of(weekend: Weekend, ware_id: int, grade: str) -> StallLine | None:
    """Return one ware and grade of the stall, or None where it neither moved nor was counted.

    Five statements, which read of this ware alone.
    """
    return next((each for each in _lines(weekend, ware_id) if each.grade == grade), None)


def _lines(weekend: Weekend, ware_id: int | None) -> list[StallLine]:
    flows = ledger.flows(
        weekend.fair.stall, after=closed_before(weekend), through=weekend.last_day, ware=ware_id
    )
    counts = tallies_of(weekend, ware_id=ware_id)
    sums = {spot: pots(flow.opening, flow.came, flow.went) for spot, flow in flows.items()}
    spots = {spot for spot, each in sums.items() if each.moved}
    spots |= {spot for spot, tally in counts.items() if tally.parts}
    named = Ware.objects.named().filter(pk__in={pk for pk, _ in spots})
    ware = {each.pk: each for each in named}
    order = {pk: place for place, pk in enumerate(ware)}
    return [
        StallLine(ware[pk], grade, sums.get((pk, grade), NOTHING), counts.get((pk, grade)))
        for pk, grade in sorted(spots, key=lambda spot: (order[spot[0]], spot[1]))
    ]


def tallies_of(weekend: Weekend, *, ware_id: int | None = None) -> dict[Spot, Tally]:
    """Return what was counted of each ware and grade (one statement)."""
    rows = StallCount.objects.filter(weekend=weekend)
    if ware_id is not None:
        rows = rows.filter(ware=ware_id)
    return tallies(rows.select_related("made_by", "in_pass__made_by").order_by("version"))
