"""Reads the facts of everybody's credits in a fixed number of statements, and reckons them."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from vendor.supporters import credits
from vendor.supporters.models import (
    Commitment,
    Contribution,
    Level,
    LevelTerms,
    Reward,
    RewardTerms,
    Supporter,
)


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything that credits are reckoned from."""

    level_rules: list[credits.LevelRule]
    reward_rules: list[credits.RewardRule]
    contributions: dict[int, list[credits.Contribution]] = field(default_factory=dict)
    spent: dict[int, list[credits.Spent]] = field(default_factory=dict)
    aims: dict[int, int | None] = field(default_factory=dict)
    usual: dict[int, int | None] = field(default_factory=dict)

    def account(self, supporter_id: int, as_of: datetime.date) -> credits.Account:
        """Return what one supporter has earned as of a day."""
        return credits.account(
            contributions=self.contributions.get(supporter_id, ()),
            level_rules=self.level_rules,
            reward_rules=self.reward_rules,
            spent=self.spent.get(supporter_id, ()),
            as_of=as_of,
            aim=self.aim(supporter_id),
        )

    def aim(self, supporter_id: int) -> int | None:
        """Return the reward that a supporter saves for: their own aim, else their level's."""
        own = self.aims.get(supporter_id)
        if own is not None:
            return own
        paid = self.contributions.get(supporter_id)
        if not paid:
            return None
        latest = max(paid, key=lambda each: (each.month, each.on, each.level))
        return self.usual.get(latest.level)


@dataclass(frozen=True, slots=True)
class Standing:
    """One supporter with their account as of a day, and what of it can be promised."""

    supporter: Supporter
    account: credits.Account
    level: Level | None
    aim: Reward | None
    ready: list[tuple[Reward, int]]
    """Rewards with ready pieces and how many, the one that is aimed at first."""

    @property
    def next_line(self) -> credits.Line | None:
        """The latest month."""
        return self.account.lines[-1] if self.account.lines else None


def facts(supporter_ids: Sequence[int] | None = None) -> Facts:
    """Return the facts of the given supporters, or of all (six statements)."""
    paid = Contribution.objects.filter(struck_at__isnull=True).order_by()
    out = Commitment.objects.exclude(state=Commitment.State.CANCELLED).filter(reward__isnull=False)
    people = Supporter.objects.order_by()
    if supporter_ids is not None:
        paid = paid.filter(supporter_id__in=supporter_ids)
        out = out.filter(supporter_id__in=supporter_ids)
        people = people.filter(pk__in=supporter_ids)
    contributions: dict[int, list[credits.Contribution]] = defaultdict(list)
    for row in paid:
        kind = credits.Kind(row.kind)
        contributions[row.supporter_id].append(
            credits.Contribution(row.month, row.level_id, kind, row.on, row.refunded_on)
        )
    spent: dict[int, list[credits.Spent]] = defaultdict(list)
    for promise in out.only("supporter_id", "reward_id", "promised_on", "credits").order_by("id"):
        assert promise.reward_id is not None
        spent[promise.supporter_id].append(
            credits.Spent(promise.reward_id, promise.promised_on, promise.credits)
        )
    return Facts(
        level_rules(LevelTerms.objects.all()),
        reward_rules(RewardTerms.objects.all()),
        dict(contributions),
        dict(spent),
        dict(people.values_list("pk", "aim_id")),
        dict(Level.objects.values_list("pk", "usual_reward_id")),
    )


def level_rules(terms: Iterable[LevelTerms]) -> list[credits.LevelRule]:
    """Return level terms as plain rules, in the order that they were written down."""
    return [
        credits.LevelRule(each.level_id, each.from_month, each.credits)
        for each in sorted(terms, key=lambda each: each.pk or 0)
    ]


def reward_rules(terms: Iterable[RewardTerms]) -> list[credits.RewardRule]:
    """Return reward terms as plain rules, in the order that they were written down."""
    return [
        credits.RewardRule(each.reward_id, each.from_month, each.cost, each.unbroken, each.limit)
        for each in sorted(terms, key=lambda each: each.pk or 0)
    ]


def standings(today: datetime.date, supporter: Supporter | None = None) -> list[Standing]:
    """Return how every supporter stands (nine statements at most), in the order of names."""
    found = facts([supporter.pk] if supporter else None)
    rewards = Reward.objects.select_related("form", "ware__form", "ware__finish").in_bulk()
    levels = Level.objects.in_bulk()
    people = [supporter] if supporter else list(Supporter.objects.known())
    rows = []
    for person in people:
        account = found.account(person.pk, today)
        aim = found.aim(person.pk)
        ready = [
            (rewards[pk], len(each.costs))
            for pk, each in sorted(account.ready.items(), key=lambda item: item[0] != aim)
            if each.costs and not rewards[pk].retired
        ]
        level = levels.get(account.level) if account.level else None
        rows.append(Standing(person, account, level, rewards.get(aim) if aim else None, ready))
    return rows


def earners(today: datetime.date) -> int:
    """Return how many supporters have earned a piece that is not promised (nine statements)."""
    return sum(1 for each in standings(today) if each.ready)


@dataclass(frozen=True, slots=True)
class Month:
    """One supporter's line on the sheet of a month.

    `paid` is what is on record for it, in a word, or empty; `level` and `amount` (minor units) are
    those of their latest month.
    """

    supporter: Supporter
    level: Level
    amount: int
    paid: str


def month_sheet(month: datetime.date) -> list[Month]:
    """Return everybody who has contributed before, for a month to be ticked off (three statements).

    The amount is what the level asks for in that month.
    """
    levels = Level.objects.prefetch_related("terms").in_bulk()
    latest: dict[int, Contribution] = {}
    paid: dict[int, str] = {}
    rows = Contribution.objects.filter(struck_at__isnull=True, supporter__erased_at__isnull=True)
    for row in rows.select_related("supporter").order_by("month", "on", "id"):
        if row.month <= month:
            latest[row.supporter_id] = row
        # A try that failed can still be made good.
        if row.month == month and row.kind != Contribution.Kind.FAILED:
            paid[row.supporter_id] = row.said
    found = []
    for row in latest.values():
        level = levels[row.level_id]
        asked = [each.amount for each in level.terms.all() if each.from_month <= month]
        amount = asked[-1] if asked else row.amount
        found.append(Month(row.supporter, level, amount, paid.get(row.supporter_id, "")))
    return sorted(found, key=lambda each: (each.supporter.name, each.supporter.pk))
