"""Levels, rewards and their dated rules: adding and changing them.

A second half of `actions`, by the same rules. A rule is never rewritten: a new one holds from its
month on, and is refused where it would take away what somebody has earned by today.
"""

import datetime

from django.db import transaction

from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger.posting import take_turn
from vendor.supporters import accounts, credits
from vendor.supporters.errors import TakesAway
from vendor.supporters.models import Level, LevelTerms, Question, Reward, RewardTerms, Supporter
from vendor.supporters.steps import cleaned


def save_level(*, level: Level) -> Level:
    """Add a level, or change its name, its usual reward, or whether it is offered."""
    with transaction.atomic():
        level.name = " ".join(level.name.split())
        cleaned(level).save()
    return level


def save_reward(*, reward: Reward) -> Reward:
    """Add a reward, or change what it is of. Promises that were made keep what they are of."""
    with transaction.atomic():
        reward.name = " ".join(reward.name.split())
        cleaned(reward).save()
    return reward


def save_question(*, question: Question) -> Question:
    """Add a question about a reward, or change or retire it. Given answers stay."""
    with transaction.atomic():
        question.name = " ".join(question.name.split())
        question.options = [line.strip() for line in question.options if line.strip()]
        cleaned(question).save()
    return question


def set_level_terms(
    *,
    key: str,
    level: Level,
    from_month: datetime.date,
    amount: int,
    credits: int,
    who: User,
    now: datetime.datetime,
) -> LevelTerms:
    """Say what a level contributes (minor units) and earns from a month on.

    Refused (TakesAway) where a month that has been paid would earn less by it.
    """
    with transaction.atomic():
        take_turn()
        before = LevelTerms.objects.filter(key=key).first()
        if before is not None:
            return before
        terms = LevelTerms(
            key=key,
            made_by=who,
            made_at=now,
            level=level,
            from_month=from_month,
            amount=amount,
            credits=credits,
        )
        _add(cleaned(terms), now)
    return terms


def set_reward_terms(
    *,
    key: str,
    reward: Reward,
    from_month: datetime.date,
    cost: int,
    unbroken: bool = False,
    limit: int | None = None,
    who: User,
    now: datetime.datetime,
) -> RewardTerms:
    """Say what a reward costs from a month on, and under which conditions.

    Refused (TakesAway) where a piece that is ready by today would not be any more.
    """
    with transaction.atomic():
        take_turn()
        before = RewardTerms.objects.filter(key=key).first()
        if before is not None:
            return before
        terms = RewardTerms(
            key=key,
            made_by=who,
            made_at=now,
            reward=reward,
            from_month=from_month,
            cost=cost,
            unbroken=unbroken,
            limit=limit,
        )
        _add(cleaned(terms), now)
    return terms


def _add(terms: LevelTerms | RewardTerms, now: datetime.datetime) -> None:
    """Write a rule down, unless it takes away what anybody has earned by today."""
    today = clock.day_of(now, the_studio())
    before = accounts.facts()
    terms.save()
    after = accounts.facts()
    for pk in before.contributions:
        had, has = before.account(pk, today), after.account(pk, today)
        if _is_less(had, has):
            name = Supporter.objects.get(pk=pk)
            raise TakesAway(
                f"From {terms.from_month:%B %Y} on, this rule would take away what {name} has "
                "earned already. Nothing was changed: let it begin in a later month."
            )


def _is_less(had: credits.Account, has: credits.Account) -> bool:
    if has.earned < had.earned:
        return True
    return any(
        len(has.ready[reward].costs) < len(ready.costs) for reward, ready in had.ready.items()
    )
