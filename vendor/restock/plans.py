"""What to bring to a weekend, ware by ware: what is read and estimated, put together.

No table is read here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from vendor.fairs.models import Fair, Weekend
from vendor.house.models import Studio
from vendor.restock import telling
from vendor.restock.demand import Estimate
from vendor.restock.loading import Candidate, Line, Load
from vendor.restock.presence import Stint
from vendor.restock.rates import Gamma, NegativeBinomial
from vendor.restock.room import Room, RoomUnit
from vendor.ware.models import Ware

LIKELY = 0.8
"""How likely demand lies within the stretch that a list shows: eight weekends in ten."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands of one ware, firsts, in pieces: on the studio shelf and at the stall."""

    free: int = 0
    held: int = 0
    there: int = 0
    there_held: int = 0

    @property
    def any(self) -> bool:
        """Whether there is a piece of it."""
        return bool(self.free or self.held or self.there or self.there_held)


@dataclass(frozen=True, slots=True)
class Row:
    """One ware: what it did, what stands of it, and what to bring (pieces).

    `sold` is by the weekend's number, for all of the fair's weekends so far; None where it was
    not there. `expected` and `variance` are of the pieces asked for, `low` to `high` is what is
    asked for in eight weekends of ten. `short` is what would be wanted and is not there to bring,
    `left` what is free and wanted but finds no room. `price` is that of the fair's list, 0 where
    it has none; `belief` is of the rate, `demand` of the coming weekend. `takings` is what the
    pieces on the stall should earn, `missed` what the short ones should earn on top if they were
    there: minor units at the tag's price, estimates and not money.
    """

    ware: Ware
    stints: Mapping[int, Stint]
    sold: Mapping[int, int | None]
    standing: Standing
    why: str
    expected: float
    variance: float
    low: int
    high: int
    wanted: int
    bring: int
    short: int
    left: int
    why_so_many: str
    price: int
    belief: Gamma
    demand: NegativeBinomial
    takings: float
    missed: float

    @property
    def name(self) -> str:
        """The ware's name."""
        return self.ware.name

    @property
    def rate(self) -> float:
        """Pieces that an ordinary weekend asks for, expected."""
        return self.belief.mean


@dataclass(frozen=True, slots=True)
class Shortage:
    """The ware of which most is missed by being short: pieces, and why so many are wanted."""

    ware: Ware
    pieces: int
    why: str


@dataclass(frozen=True, slots=True)
class Summary:
    """The coming weekend in a few words, for the home page.

    `takings` is what it should take with the tax, in minor units (while it is on: what it should
    still take): an estimate for what stands on the stall and is brought from the shelf. `about`
    says it as a guess is said (“$5,400”). `later` is what the weekends after it would take by
    their id, if nothing ran short. `bring` and `short` are pieces; `worst` is None where nothing
    is short.
    """

    weekend: Weekend
    takings: int
    about: str
    later: Mapping[int, int]
    bring: int
    short: int
    worst: Shortage | None


@dataclass(frozen=True, slots=True)
class Aside:
    """What is no part of the reckoning, free on the shelf (pieces)."""

    seconds: int
    one_of_a_kind: int


@dataclass(frozen=True, slots=True)
class Listed:
    """What is on the weekend's open packing list, if there is one: firsts by ware."""

    packing_list: int | None = None
    pieces: Mapping[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Plan:
    """The coming weekend of one fair.

    `past` are its weekends so far, in time; `to_come` the share of the coming weekend's custom that
    is still ahead (1.0 before it opens); `listed` what is on its open packing list.
    """

    fair: Fair
    weekend: Weekend
    past: Sequence[Weekend]
    to_come: float
    rows: Sequence[Row]
    load: Load
    room: Room
    level: int
    aside: Aside
    listed: Listed

    @property
    def is_on(self) -> bool:
        """Whether the weekend has begun."""
        return self.to_come < 1

    @property
    def bring(self) -> int:
        """Pieces to bring in all."""
        return sum(row.bring for row in self.rows)

    @property
    def on_list(self) -> int:
        """Pieces that are on the packing list already."""
        return sum(self.listed.pieces.values())

    @property
    def to_list(self) -> int:
        """Pieces to bring that are not on the packing list yet."""
        listed = self.listed.pieces
        return sum(max(row.bring - listed.get(row.ware.pk, 0), 0) for row in self.rows)

    @property
    def short(self) -> int:
        """Pieces that would be wanted and are not there."""
        return sum(row.short for row in self.rows)

    @property
    def short_ware(self) -> int:
        """How many ware are short."""
        return sum(1 for row in self.rows if row.short)

    @property
    def left(self) -> int:
        """Pieces that find no room."""
        return sum(row.left for row in self.rows)

    @property
    def takings(self) -> int:
        """What the weekend should take, as its sales will be totalled: with the tax."""
        return with_tax(sum(row.takings for row in self.rows), self.fair)

    @property
    def worst(self) -> Shortage | None:
        """The ware whose shortness should cost most, if any is short."""
        found = max(self.rows, key=lambda row: (row.missed, row.short), default=None)
        if found is None or not found.short:
            return None
        return Shortage(found.ware, found.short, found.why)

    @property
    def room_in_words(self) -> str:
        """How full the van is, where its room is known."""
        if self.room.count is None:
            return ""
        if self.room.unit is RoomUnit.PIECES:
            return f"{self.load.room:,} of {self.room.count:,} pieces."
        return f"{self.room.totes(self.load.room):.1f} of {self.room.count:,} totes filled."


def with_tax(net: float, fair: Fair) -> int:
    """Return tag prices as a receipt totals them, whole minor units: an estimate, not money."""
    rate = 0 if fair.tax_included else fair.tax_rate_ppm
    return round(net * (1_000_000 + rate) / 1_000_000)


@dataclass(frozen=True, slots=True)
class Offer:
    """One ware with all that its row is made of."""

    ware: Ware
    estimate: Estimate
    exposure: float
    standing: Standing
    price: int

    @property
    def demand(self) -> NegativeBinomial:
        """What the weekend will ask for."""
        return self.estimate.weekend(self.exposure)

    def candidate(self, level: int, room: Room) -> Candidate:
        """Return what `loading` has to know of it."""
        return Candidate(
            ware=self.ware.pk,
            demand=self.demand,
            price=self.price,
            room=room.of(self.ware.form.width_mm),
            free=self.standing.free,
            service_level=level / 100,
            there=self.standing.there,
        )

    def row(
        self, line: Line, stints: Mapping[int, Stint], past: Sequence[int], studio: Studio
    ) -> Row:
        """Return its row, once its line of the load is settled."""
        demand = self.demand
        made = not (self.ware.retired or self.ware.form.retired or self.ware.finish.retired)
        lacking = max(line.wanted - line.there, 0)
        left = min(lacking, line.free) - line.bring
        low, high = demand.interval(LIKELY)
        on_stall = line.there + line.bring
        short = max(lacking - line.free, 0) if made else 0
        reached = on_stall + left
        return Row(
            ware=self.ware,
            stints=stints,
            sold={number: _pieces(stints.get(number)) for number in past},
            standing=self.standing,
            why=telling.why(
                self.estimate.reason, stints, latest=max(past, default=0), studio=studio
            ),
            expected=demand.mean,
            variance=demand.variance,
            low=low,
            high=high,
            wanted=line.wanted,
            bring=line.bring,
            short=short,
            left=left,
            why_so_many=telling.why_so_many(line, left_for_room=left, made=made),
            price=self.price,
            belief=self.estimate.rate,
            demand=demand,
            takings=self.price * _sold(demand, 1, on_stall),
            missed=self.price * _sold(demand, reached + 1, reached + short),
        )


def _pieces(stint: Stint | None) -> int | None:
    """Return what a stint sold; None where there was nothing to sell."""
    return stint.record.sold if stint is not None and stint.record.exposure > 0 else None


def _sold(demand: NegativeBinomial, first: int, last: int) -> float:
    """Expect so many of the first-th to the last-th piece on the stall to be sold."""
    return sum(demand.at_least(count) for count in range(first, last + 1))
