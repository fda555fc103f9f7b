"""Short ways to make promises, and to say where they stand."""

import datetime
import itertools
from typing import Any

from tests.factories import NOW
from vendor.house.models import User, new_key
from vendor.ledger.models import Balance, Place
from vendor.supporters import actions, contributing, rules
from vendor.supporters.models import Commitment, Contribution, Level, Reward, Supporter
from vendor.ware.models import Ware

_numbers = itertools.count(1)
TODAY = datetime.date(2026, 12, 2)
JANUARY = datetime.date(2026, 1, 1)


def promised(supporter: Supporter, ware: Ware, owner: User, **more: Any) -> Commitment:
    """Promise a piece."""
    key = more.pop("key", f"promise-{next(_numbers)}")
    return actions.promise(
        key=key, supporter=supporter, ware=ware, who=owner, now=more.pop("now", NOW), **more
    )


def kept(commitment: Commitment, owner: User, **more: Any) -> Commitment:
    """Hold a piece for a promise."""
    key = more.pop("key", f"keep-{next(_numbers)}")
    return actions.keep_piece(key=key, commitment=commitment, who=owner, now=NOW, **more)


def at(place: Place, ware: Ware, grade: str = "first") -> tuple[int, int]:
    """Return (on hand, held) of a ware at a place."""
    row = Balance.objects.filter(place=place, ware=ware, grade=grade).first()
    return (row.on_hand, row.held) if row else (0, 0)


def keyed(**more: Any) -> dict[str, Any]:
    """Return what a form of the part's pages sends, with a key of its own."""
    return {"key": new_key(), **more}


def reward(owner: User, name: str, cost: int, **more: Any) -> Reward:
    """Add a reward that costs so many credits since January."""
    made = rules.save_reward(reward=Reward(name=name, **more), who=owner, now=NOW)
    rules.set_reward_terms(
        key=f"terms-{name}", reward=made, from_month=JANUARY, cost=cost, who=owner, now=NOW
    )
    return made


def level(owner: User, name: str, credits: int, amount: int = 500, **more: Any) -> Level:
    """Add a level that earns so many credits since January."""
    made = rules.save_level(level=Level(name=name, **more), who=owner, now=NOW)
    rules.set_level_terms(
        key=f"terms-{name}", level=made, from_month=JANUARY, amount=amount, credits=credits,
        who=owner, now=NOW,
    )  # fmt: skip
    return made


def pays(supporter: Supporter, level: Level, owner: User, *months: int) -> list[Contribution]:
    """Let a supporter pay for months of 2026."""
    return [
        patron_pays(f"paid-{supporter.pk}-{month}", supporter, level, owner, month)
        for month in months
    ]


def patron_pays(
    key: str, supporter: Supporter, level: Level, owner: User, month: int = 11
) -> Contribution:
    """Let a supporter pay for one month of 2026, under a key."""
    day = datetime.date(2026, month, 3)
    return contributing.record_contribution(
        key=key, supporter=supporter, level=level, month=day, amount=500, on=day,
        who=owner, now=NOW,
    )  # fmt: skip
