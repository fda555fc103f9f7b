"""Levels, rewards and their dated rules: adding and changing them.

A second half of `actions`, by the same rules. A rule is never rewritten: a new one holds from its
month on, and is refused where it would take away what somebody has earned by today.
"""

import datetime
from typing import TypeVar

from django.db import models, transaction

from vendor.house import changes, clock, dates
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.house.turns import take_turn
from vendor.supporters import accounts, credits
from vendor.supporters.errors import TakesAway
from vendor.supporters.models import Level, LevelTerms, Question, Reward, RewardTerms, Supporter
from vendor.supporters.steps import cleaned

Row = TypeVar("Row", bound=models.Model)


def save_level(*, level: Level, key: str = "", who: User, now: datetime.datetime) -> Level:
    """Add a level, once by its key, or change its name, usual reward, or offer."""
    with transaction.atomic():
        take_turn()
        level.name = " ".join(level.name.split())
        return _kept(level, key, who, now)


def save_reward(*, reward: Reward, key: str = "", who: User, now: datetime.datetime) -> Reward:
    """Add a reward, once by its key, or change what it is of.

    Promises that were made keep what they are of.
    """
    with transaction.atomic():
        take_turn()
        reward.name = " ".join(reward.name.split())
        return _kept(reward, key, who, now)


def save_question(
    *, question: Question, key: str = "", who: User, now: datetime.datetime
) -> Question:
    """Add a question about a reward, once by its key, or change or retire it.

    Given answers stay.
    """
    with transaction.atomic():
        take_turn()
        question.name = " ".join(question.name.split())
        question.options = [line.strip() for line in question.options if line.strip()]
        return _kept(question, key, who, now)


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


def _kept(row: Row, key: str, who: User, now: datetime.datetime) -> Row:
    """Save a row with the note of it; what its form has made already is answered."""
    made = changes.made_before(row, key, besides={"position"})
    return made if made is not None else changes.keep(cleaned(row), who=who, now=now, key=key)


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
                f"From {dates.month(terms.from_month)} on, this rule would take away what {name} "
                "has earned already. Nothing was changed: let it begin in a later month."
            )


def _is_less(had: credits.Account, has: credits.Account) -> bool:
    if has.earned < had.earned:
        return True
    return any(
        len(has.ready[reward].costs) < len(ready.costs) for reward, ready in had.ready.items()
    )
