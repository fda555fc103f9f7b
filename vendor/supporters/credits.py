"""What a supporter has earned: a pure function of contributions, rules and what was promised.

Every paid month earns the credits of the level it was paid at; a reward costs credits. Both rules
are dated by month, and a later rule never takes away what an earlier one had earned: a piece that
was ready at the old cost stays ready at it. Plain values in, plain values out; no tables, no clock.
"""

import datetime
from collections.abc import Iterable, Sequence

from vendor.supporters.credit_values import (
    Account,
    Contribution,
    Kind,
    LevelRule,
    Line,
    Outcome,
    Ready,
    RewardRule,
    Spent,
    month_of,
    months_after,
)

__all__ = [
    "Account",
    "Contribution",
    "Kind",
    "LevelRule",
    "Line",
    "Outcome",
    "Ready",
    "RewardRule",
    "Spent",
    "account",
    "month_of",
    "months_after",
]


def account(
    *,
    contributions: Iterable[Contribution],
    level_rules: Iterable[LevelRule],
    reward_rules: Iterable[RewardRule],
    spent: Iterable[Spent] = (),
    as_of: datetime.date,
    aim: int | None = None,
) -> Account:
    """Return what was earned as of a day, explained month by month.

    The order of what is given matters nowhere, except that of two rules of one level or reward
    from the same month the later one given holds. A month that is not over can still be paid: it
    breaks no run yet. `aim` is the reward that the lines count toward.
    """
    rules = _Rules(level_rules, reward_rules)
    paid = _by_month(contributions, as_of)
    out = [each for each in spent if each.on <= as_of]
    if not paid and not out:
        return Account([], 0, 0, {}, None)
    walk = _Walk(rules, out)
    last = month_of(as_of)
    month = min([*paid, *(month_of(each.on) for each in out)])
    lines = []
    while month <= last:
        lines.append(walk.step(month, paid.get(month, []), over=month < last, aim=aim))
        month = months_after(month, 1)
    return Account(lines, walk.earned, walk.spent, walk.ready, walk.level)


class _Rules:
    """The dated rules, and which of them hold in a month."""

    def __init__(self, levels: Iterable[LevelRule], rewards: Iterable[RewardRule]) -> None:
        # The sort is stable: of two rules from one month the later one given comes last and holds.
        self._levels = sorted(levels, key=lambda rule: rule.from_month)
        self._rewards = sorted(rewards, key=lambda rule: rule.from_month)

    def credits(self, level: int, month: datetime.date) -> int:
        """Return what a month at a level earns; nothing before the level's first rule."""
        found = [r for r in self._levels if r.level == level and r.from_month <= month]
        return found[-1].credits if found else 0

    def rewards(self, month: datetime.date) -> dict[int, RewardRule]:
        """Return the rule of each reward in a month."""
        return {rule.reward: rule for rule in self._rewards if rule.from_month <= month}


class _Walk:
    """The account while it goes from month to month."""

    def __init__(self, rules: _Rules, spent: Sequence[Spent]) -> None:
        self._rules = rules
        self._out: dict[datetime.date, list[Spent]] = {}
        for each in sorted(spent, key=lambda each: (each.on, each.reward, each.cost)):
            self._out.setdefault(month_of(each.on), []).append(each)
        self.earned = self.spent = self._run = 0
        self.ready: dict[int, Ready] = {}
        self.level: int | None = None
        self._promised: dict[int, int] = {}

    def step(
        self,
        month: datetime.date,
        contributions: Sequence[Contribution],
        *,
        over: bool,
        aim: int | None,
    ) -> Line:
        """Take one month in: first what it earned, then what was spent in it."""
        outcome, level, gained = self._outcome(month, contributions, over=over)
        broke = over and outcome is not Outcome.PAID and self._run > 0
        if broke:
            # While the month could still be paid, the run stood under this month's rules.
            self._reckon(month)
            self._break()
        self._run += gained
        self.earned += gained
        self.level = self.level if level is None else level
        self._reckon(month)
        spent = 0
        for each in self._out.get(month, []):
            spent += each.cost
            self._spend(each)
        if spent:
            self._reckon(month)
        toward = self.ready.get(aim) if aim is not None else None
        return Line(
            month,
            outcome,
            level,
            gained,
            spent,
            self.earned - self.spent,
            ready=len(toward.costs) if toward else 0,
            have=toward.beyond if toward else 0,
            of=toward.cost if toward else 0,
            broke=broke,
        )

    def _outcome(
        self, month: datetime.date, contributions: Sequence[Contribution], *, over: bool
    ) -> tuple[Outcome, int | None, int]:
        """Return how a month went, at which level, and what it earned.

        Payments less refunds are counted level by level, and the best paid level counts.
        """
        net: dict[int, int] = {}
        for each in contributions:
            if each.kind is not Kind.FAILED:
                counts = -1 if each.kind is Kind.REFUND else int(each.refunded_on is None)
                net[each.level] = net.get(each.level, 0) + counts
        paid = [(self._rules.credits(level, month), level) for level, n in net.items() if n > 0]
        if paid:
            gained, level = max(paid)
            return Outcome.PAID, level, gained
        if net:
            return Outcome.REFUNDED, max(net), 0
        if contributions:
            return Outcome.FAILED, max(each.level for each in contributions), 0
        return (Outcome.MISSED if over else Outcome.TO_COME), None, 0

    def _spend(self, each: Spent) -> None:
        """Take a promised piece's credits out, and its place among the ready pieces."""
        self.spent += each.cost
        self._promised[each.reward] = self._promised.get(each.reward, 0) + 1
        if each.reward in self.ready:
            self.ready[each.reward].take(each.cost)

    def _break(self) -> None:
        """Start the run again; what it has earned stays."""
        self._run = 0
        for ready in self.ready.values():
            if ready.unbroken:
                ready.settle()

    def _reckon(self, month: datetime.date) -> None:
        """Bring the ready pieces of every reward up to date with the balance and the rules."""
        balance = max(0, self.earned - self.spent)
        for reward, rule in self._rules.rewards(month).items():
            ready = self.ready.setdefault(reward, Ready(reward))
            ready.fit(balance)
            if rule.unbroken and not ready.unbroken:
                ready.settle()
            elif not rule.unbroken:
                ready.fresh, ready.safe = ready.costs, []
            ready.unbroken = rule.unbroken
            # A rule that became cheaper holds for pieces that are ready but not promised yet.
            ready.safe = [min(cost, rule.cost) for cost in ready.safe]
            ready.fresh = [min(cost, rule.cost) for cost in ready.fresh]
            # Spending takes the oldest credits first: what is left of a run are its newest.
            left = balance - sum(ready.safe)
            ready.counting = min(self._run, left) if rule.unbroken else left
            ready.cost = rule.cost
            more = ready.beyond // rule.cost
            if rule.limit is not None:
                had = self._promised.get(reward, 0) + len(ready.costs)
                more = min(more, max(0, rule.limit - had))
                ready.cost = rule.cost if had + more < rule.limit else 0
            ready.fresh += [rule.cost] * more


def _by_month(
    contributions: Iterable[Contribution], as_of: datetime.date
) -> dict[datetime.date, list[Contribution]]:
    """Return what is known by a day of each month that has begun by then."""
    found: dict[datetime.date, list[Contribution]] = {}
    for each in contributions:
        if each.on <= as_of and each.month <= month_of(as_of):
            later = each.refunded_on is not None and each.refunded_on > as_of
            seen = Contribution(each.month, each.level, each.kind, each.on) if later else each
            found.setdefault(each.month, []).append(seen)
    return found
