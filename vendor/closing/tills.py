"""The money of a weekend: its cash boxes, each from count to count, and what was not cash.

A box that is counted at the end of a day begins anew with what that count left in it; one that
is counted once has the whole weekend. Values only: `takings` reads them.
"""

import datetime
from dataclasses import dataclass, field, fields, replace

from vendor.closing.equation import Till
from vendor.closing.models import CashCount
from vendor.counter.till import FIRST_TILL
from vendor.house import dates

Day = datetime.date
NOTHING = Till()


@dataclass(frozen=True, slots=True)
class Taken:
    """What one way of paying brought over a weekend (minor units).

    `deposits` were taken on commissions, `deposits_back` paid back: no sales, but money all the
    same.
    """

    sales: int = 0
    tips: int = 0
    refunds: int = 0
    deposits: int = 0
    deposits_back: int = 0

    @property
    def total(self) -> int:
        """What stays of it."""
        return self.sales + self.tips + self.deposits - self.refunds - self.deposits_back

    def __add__(self, other: "Taken") -> "Taken":
        names = [each.name for each in fields(self)]
        return Taken(**{name: getattr(self, name) + getattr(other, name) for name in names})


@dataclass(frozen=True, slots=True)
class Stretch:
    """One cash box from one count to the next.

    It ends with the count of the night `day`; None: with that of the end of the weekend. `stays`
    is the float that is meant to stay in it; `taken_out` went out after the count, before the next
    stretch (minor units; below zero: put in).
    """

    number: int
    name: str
    day: Day | None
    till: Till
    count: CashCount | None
    stays: int = 0
    out_after: int = 0
    in_after: int = 0

    @property
    def version(self) -> int:
        """Which count this is, 0 before the first."""
        return self.count.version if self.count else 0

    @property
    def over_short(self) -> int | None:
        """Counted less expected (minor units), None before the count."""
        return self.till.over_short(self.count.counted) if self.count else None

    @property
    def short(self) -> int:
        """How much is missing from what was expected (minor units), 0 where nothing is."""
        return max(0, -(self.over_short or 0))

    @property
    def difference(self) -> str:
        """What a reason has to explain, as it is written down beside it; empty: nothing."""
        return f"{self.over_short:+d}" if self.over_short else ""

    @property
    def reason(self) -> str:
        """Why it is over or short; empty where the reason given was for another difference."""
        if self.count and self.count.explains == self.difference:
            return self.count.reason
        return ""

    @property
    def is_open(self) -> bool:
        """Whether a reason is still owed."""
        return bool(self.difference) and not self.reason

    @property
    def taken_out(self) -> int:
        """What went out of it after the count."""
        return self.out_after - self.in_after

    @property
    def left(self) -> int:
        """What stayed in it after the count."""
        return (self.count.counted if self.count else self.till.expected) - self.taken_out

    @property
    def above_float(self) -> int:
        """What can still be taken out so that the float stays in it; never below zero."""
        return Till(cash_float=self.stays).above_float(self.left) if self.count else 0

    @property
    def label(self) -> str:
        """Which night it ends with, in words; empty for the end of the weekend."""
        return dates.weekday(self.day) if self.day else ""


@dataclass(frozen=True, slots=True)
class Box:
    """One cash box over a weekend: the nights that were counted, and the rest up to its end."""

    number: int
    name: str
    stretches: tuple[Stretch, ...]
    has_float: bool
    is_used: bool

    @property
    def end(self) -> Stretch:
        """The last stretch, up to the end of the weekend."""
        return self.stretches[-1]

    @property
    def nights(self) -> tuple[Stretch, ...]:
        """The stretches that ended with a night's count."""
        return self.stretches[:-1]

    @property
    def till(self) -> Till:
        """All that came and went over the weekend; what a night left in it came from itself."""
        flows = sum((replace(each.till, opening=0) for each in self.stretches), NOTHING)
        out = sum(each.out_after for each in self.nights)
        into = sum(each.in_after for each in self.nights)
        return flows + Till(paid_in=into, paid_out=out)

    @property
    def over_short(self) -> int | None:
        """All its counts over and short together, None before the last."""
        return self.till.over_short(self.end.count.counted) if self.end.count else None

    def at(self, day: Day | None) -> Stretch | None:
        """Return the stretch that ends with a night, or with the weekend (None)."""
        return next((each for each in self.stretches if each.day == day), None)


@dataclass(frozen=True, slots=True)
class TillSheet:
    """The cash boxes of a weekend with their counts, and what was not cash."""

    boxes: tuple[Box, ...]
    card: Taken = field(default_factory=Taken)
    other: Taken = field(default_factory=Taken)

    @property
    def used(self) -> tuple[Box, ...]:
        """The boxes to be counted: the first, and others in which there was anything."""
        return tuple(box for box in self.boxes if box.is_used or box.number == FIRST_TILL)

    @property
    def has_begun(self) -> bool:
        """Whether a float was entered, or cash counted."""
        counted = any(each.count for each in self.stretches)
        return counted or any(box.has_float for box in self.boxes)

    @property
    def stretches(self) -> list[Stretch]:
        """Every stretch of every box to be counted."""
        return [each for box in self.used for each in box.stretches]

    @property
    def till(self) -> Till:
        """All boxes together."""
        return sum((box.till for box in self.used), NOTHING)

    @property
    def counted(self) -> int | None:
        """What was counted in all boxes at the end (minor units), None before the last count."""
        counts = [box.end.count for box in self.used]
        if any(count is None for count in counts):
            return None
        return sum(count.counted for count in counts if count is not None)

    @property
    def over_short(self) -> int | None:
        """All counts over and short together (minor units), None before the last count."""
        return None if self.counted is None else self.till.over_short(self.counted)

    @property
    def short(self) -> int:
        """How much is missing from what was expected (minor units), 0 where nothing is."""
        return max(0, -(self.over_short or 0))

    @property
    def reason(self) -> str:
        """Every reason in one line, with the box and the night where there are several."""
        told = [each for each in self.stretches if each.reason]
        if len(self.stretches) == 1:
            return told[0].reason if told else ""
        return "; ".join(f"{self.name_of(each)}: {each.reason}" for each in told)

    @property
    def is_open(self) -> bool:
        """Whether a reason is still owed."""
        return any(each.is_open for each in self.stretches)

    @property
    def taken_out(self) -> int:
        """What went out of all boxes after their last counts (minor units)."""
        return sum(box.end.taken_out for box in self.used)

    def name_of(self, stretch: Stretch) -> str:
        """Return what a stretch is called: its box where there are several, and its night."""
        box = stretch.name if len(self.used) > 1 else ""
        return ", ".join(each for each in (box, stretch.label) if each) or "End of the weekend"

    def box(self, number: int) -> Box | None:
        """Return a box by its number."""
        return next((each for each in self.boxes if each.number == number), None)


@dataclass(frozen=True, slots=True)
class Carried:
    """The statement before and this weekend's beginning: its cash left, the floats (minor units).

    `left` has the statement's later corrections in it. `reason` says why the two differ; empty
    where nobody did, or where the difference was another then.
    """

    number: int
    left: int
    floats: int
    reason: str = ""

    @property
    def difference(self) -> int:
        """What the floats are more than was left; below zero: less."""
        return self.floats - self.left

    @property
    def gone(self) -> int:
        """What went out in between, 0 where something came in."""
        return max(0, -self.difference)

    @property
    def is_open(self) -> bool:
        """Whether a reason is still owed."""
        return bool(self.difference) and not self.reason
