"""Fourteen months of the demonstration's supporters: who paid what, and what that earns.

Drawing is pure and seeded; writing goes through the potter's own actions. The plans are written
down, so that tests can reckon by hand: level changes, a lapse, a refund, a payment that failed
and was made good.
"""

import datetime
import random
from collections.abc import Sequence
from dataclasses import dataclass

from vendor.demo import model
from vendor.demo.hands import Hands
from vendor.supporters import contributing, rules
from vendor.supporters.credit_values import month_of, months_after
from vendor.supporters.models import Contribution, Level, Question, Reward, Supporter

MONTHS = 14
TEN = datetime.time(10)

# Levels: contribution a month in minor units, credits a paid month, the reward they lead to.
LEVELS = {
    "Ember": (500, 1, "A piece for the table"),
    "Flame": (1200, 2, "A piece for the table"),
    "White heat": (3000, 5, "The big pot"),
}
# Rewards: credits, the forms to choose from, and longest lettering (0: none). A kitchen piece takes
# White heat three months and Ember fifteen.
REWARDS: dict[str, tuple[int, tuple[str, ...], int]] = {
    "A piece for the table": (10, ("TUM", "BUT", "CAN", "PLA"), 0),
    "A piece for the kitchen": (15, ("BER", "PIG", "OIL"), 0),
    "The big pot": (30, ("CAS",), 14),
}
# What each supporter signed up for, as so many months of a level; "" is a lapse.
PLANS: tuple[tuple[tuple[str, int], ...], ...] = (
    (("Flame", 14),),
    (("Ember", 8), ("Flame", 6)),
    (("Flame", 14),),
    (("Flame", 5), ("", 2), ("Flame", 7)),
    (("Ember", 14),),
    (("Ember", 6), ("Flame", 8)),
    (("Flame", 14),),
    (("Ember", 14),),
    (("White heat", 14),),
    (("Flame", 14),),
    (("Ember", 14),),
    (("Flame", 9), ("Ember", 5)),
)
# By supporter: the month (from 0) that was refunded, and the one whose first try failed.
REFUNDED = {7: 12}
FAILED_FIRST = {9: 6}


@dataclass(frozen=True, slots=True)
class Paid:
    """One try to pay: supporter (from 0), month, level, day, and what became of it."""

    supporter: int
    month: datetime.date
    level: str
    on: datetime.date
    failed: bool = False
    refunded_on: datetime.date | None = None


def first_month(today: datetime.date) -> datetime.date:
    """Return the first of the months, so that the last one is the month before today's."""
    return months_after(month_of(today), -MONTHS)


def draw(today: datetime.date) -> list[Paid]:
    """Return every try to pay before today's month, in the order of days."""
    rng = random.Random(model.SEED)  # noqa: S311 - an invented season, not a secret
    start = first_month(today)
    rows = []
    for supporter, plan in enumerate(PLANS):
        day = rng.randint(1, 20)
        levels = [level for level, months in plan for _ in range(months)]
        for number, level in enumerate(levels):
            month = months_after(start, number)
            on = month.replace(day=day)
            if not level:
                continue
            if FAILED_FIRST.get(supporter) == number:
                rows.append(Paid(supporter, month, level, on, failed=True))
                on += datetime.timedelta(days=4)
            back = on + datetime.timedelta(days=6) if REFUNDED.get(supporter) == number else None
            rows.append(Paid(supporter, month, level, on, refunded_on=back))
    return sorted(rows, key=lambda row: (row.on, row.supporter))


def reward_for(ware: str) -> str:
    """Return the reward by which a ware (its code) is earned."""
    form = ware.split("-")[0]
    return next(name for name, (_, forms, _) in REWARDS.items() if form in forms)


def write_rules(today: datetime.date, hands: Hands) -> None:
    """Write levels and rewards down, with what can be chosen, as of the first month."""
    start = first_month(today)
    now = hands.at(start, TEN)
    forms = {ware.form.code: ware.form for ware in hands.ware.values()}
    rewards = {}
    for name, (cost, codes, lettering) in REWARDS.items():
        form = forms[codes[0]] if len(codes) == 1 else None
        made = rules.save_reward(
            reward=Reward(name=name, form=form, due_weeks=12), who=hands.owner, now=now
        )
        rules.set_reward_terms(
            key=f"demo-terms-{name}"[:64], reward=made, from_month=start, cost=cost,
            limit=2 if lettering else None, who=hands.owner, now=now,
        )  # fmt: skip
        for question in _questions(made, [forms[code].name for code in codes], lettering):
            rules.save_question(question=question, who=hands.owner, now=now)
        rewards[name] = made
    for name, (amount, credits, usual) in LEVELS.items():
        level = rules.save_level(
            level=Level(name=name, usual_reward=rewards[usual]), who=hands.owner, now=now
        )
        rules.set_level_terms(
            key=f"demo-terms-{name}", level=level, from_month=start, amount=amount,
            credits=credits, who=hands.owner, now=now,
        )  # fmt: skip


def write_months(supporters: Sequence[Supporter], today: datetime.date, hands: Hands) -> None:
    """Write down what every supporter paid, month by month."""
    levels = {level.name: level for level in Level.objects.all()}
    for number, paid in enumerate(draw(today)):
        kind = Contribution.Kind.FAILED if paid.failed else Contribution.Kind.PAID
        row = contributing.record_contribution(
            key=f"demo-paid-{number}",
            supporter=supporters[paid.supporter],
            level=levels[paid.level],
            month=paid.month,
            amount=LEVELS[paid.level][0],
            on=paid.on,
            kind=kind,
            who=hands.owner,
            now=hands.at(paid.on, TEN),
        )
        if paid.refunded_on is not None:
            contributing.refund_contribution(
                key=f"demo-refund-{number}",
                contribution=row,
                on=paid.refunded_on,
                reason="The bank took it back",
                who=hands.owner,
                now=hands.at(paid.refunded_on, TEN),
            )


def _questions(reward: Reward, forms: list[str], lettering: int) -> list[Question]:
    """Return what is asked about a reward, in the order to ask it, not saved yet."""
    asked: list[Question] = []
    if len(forms) > 1:
        asked.append(Question(kind="form", name="Form", options=forms))
    asked.append(Question(kind="finish", name="Glaze"))
    if lettering:
        asked.append(
            Question(kind="lettering", name="Lettering", longest=lettering, required=False)
        )
    for position, question in enumerate(asked, start=1):
        question.reward, question.position = reward, position
    return asked
