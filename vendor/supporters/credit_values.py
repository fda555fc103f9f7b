"""The values that an account of credits is made of: payments, dated rules, what is ready.

Plain values, no tables, no clock. A month is always the date of its first day; credits are whole
numbers.
"""

import datetime
from dataclasses import dataclass, field
from enum import StrEnum


class Kind(StrEnum):
    """What one line of an account of payments says."""

    PAID = "paid"
    FAILED = "failed"
    REFUND = "refund"


class Outcome(StrEnum):
    """How one month went."""

    PAID = "paid"
    FAILED = "failed"
    REFUNDED = "refunded"
    MISSED = "missed"
    TO_COME = "to_come"


@dataclass(frozen=True, slots=True)
class Contribution:
    """One payment for a month at a level, a failed one, or a refund of one.

    `on` is the day it happened; `refunded_on` the day from which a payment no longer counts.
    """

    month: datetime.date
    level: int
    kind: Kind
    on: datetime.date
    refunded_on: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class LevelRule:
    """From a month on, a paid month at this level earns so many credits (0 or more)."""

    level: int
    from_month: datetime.date
    credits: int


@dataclass(frozen=True, slots=True)
class RewardRule:
    """From a month on, a reward costs so many credits (1 or more).

    `unbroken`: only credits since the last missed month count toward it. `limit`: how many of it
    one supporter can have in all; None for any number.
    """

    reward: int
    from_month: datetime.date
    cost: int
    unbroken: bool = False
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class Spent:
    """Credits that were spent on a reward when it was promised on a day."""

    reward: int
    on: datetime.date
    cost: int


@dataclass(frozen=True, slots=True)
class Line:
    """One month of an account.

    `gained` and `spent` are credits, `balance` what is left after them. Toward the reward that is
    aimed at: `ready` pieces, and beyond those `have` of `of` credits (0 of 0: no aim).
    """

    month: datetime.date
    outcome: Outcome
    level: int | None
    gained: int
    spent: int
    balance: int
    ready: int = 0
    have: int = 0
    of: int = 0
    broke: bool = False


@dataclass(slots=True)
class Ready:
    """The pieces of one reward that are earned and not promised yet.

    `safe` and `fresh` hold what each costs: pieces of runs that are over, which nothing breaks any
    more, and of the credits that count now. `counting` are those credits, `cost` what the next
    piece costs by the rule of the month; 0 where there is no next one.
    """

    reward: int
    safe: list[int] = field(default_factory=list)
    fresh: list[int] = field(default_factory=list)
    counting: int = 0
    cost: int = 0
    unbroken: bool = False

    @property
    def costs(self) -> list[int]:
        """What each ready piece costs, the cheapest first."""
        return sorted([*self.safe, *self.fresh])

    @property
    def beyond(self) -> int:
        """The credits toward the next piece."""
        return max(0, self.counting - sum(self.fresh))

    def take(self, cost: int) -> None:
        """Take out a piece that was promised at a cost; the dearest where none has that cost."""
        if self.costs:
            self._drop(cost if cost in self.costs else self.costs[-1])

    def fit(self, balance: int) -> None:
        """Drop the dearest pieces until the balance stands behind all that are left."""
        while sum(self.costs) > balance:
            self._drop(self.costs[-1])

    def settle(self) -> None:
        """Make what is ready safe from whatever happens to the credits that count now."""
        self.safe += self.fresh
        self.fresh = []

    def _drop(self, cost: int) -> None:
        (self.fresh if cost in self.fresh else self.safe).remove(cost)


@dataclass(frozen=True, slots=True)
class Account:
    """What one supporter has earned as of a day. `ready` maps a reward to its ready pieces.

    The balance is shared: pieces of several rewards may be ready for the same credits. It is
    below zero where a refund came after its credits had been spent.
    """

    lines: list[Line]
    earned: int
    spent: int
    ready: dict[int, Ready]
    level: int | None

    @property
    def balance(self) -> int:
        """Credits earned and not spent."""
        return self.earned - self.spent


def month_of(day: datetime.date) -> datetime.date:
    """Return the first day of a day's month."""
    return day.replace(day=1)


def months_after(month: datetime.date, count: int) -> datetime.date:
    """Return the month that comes so many after another one."""
    years, index = divmod(month.year * 12 + month.month - 1 + count, 12)
    return datetime.date(years, index + 1, 1)
