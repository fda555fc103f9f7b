"""Turning earned credits into promises.

A second half of `actions`, by the same rules: what is ready by the supporter's account becomes a
promise that spends its credits; a cancelled promise gives them back.
"""

import datetime

from django.db import transaction

from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger.posting import take_turn
from vendor.supporters import accounts
from vendor.supporters.errors import NotEarned
from vendor.supporters.models import Commitment, Question, Reward, Step, Supporter
from vendor.supporters.steps import cleaned, next_number


def promise_reward(
    *,
    key: str,
    supporter: Supporter,
    reward: Reward,
    due_on: datetime.date | None = None,
    who: User,
    now: datetime.datetime,
) -> Commitment:
    """Promise an earned reward: it spends its credits, and is due by the reward's own weeks.

    Refused (NotEarned) where no piece of it is ready. The same key again answers the same.
    """
    with transaction.atomic():
        take_turn()
        before = Commitment.objects.filter(key=key).first()
        if before is not None:
            return before
        today = clock.day_of(now, the_studio())
        account = accounts.facts([supporter.pk]).account(supporter.pk, today)
        ready = account.ready.get(reward.pk)
        if ready is None or not ready.costs:
            raise NotEarned(
                f"{supporter} has {max(0, account.balance)} credits, and no {reward} is ready for "
                "them. Nothing was promised: look at the account line by line."
            )
        return _promise(key, supporter, reward, ready.costs[0], due_on, today, who, now)


def promise_all_earned(*, key: str, who: User, now: datetime.datetime) -> list[Commitment]:
    """Promise every piece that is ready of the reward that its supporter saves for.

    Where nothing is aimed at and pieces of just one reward are ready, that one. Returns the new
    promises; the same key again answers with them.
    """
    with transaction.atomic():
        take_turn()
        before = list(Commitment.objects.filter(key__startswith=f"{key}:").order_by("number"))
        if before:
            return before
        today = clock.day_of(now, the_studio())
        made = []
        for standing in accounts.standings(today):
            chosen = [each for each in standing.ready if each[0] == standing.aim]
            if not chosen and len(standing.ready) == 1:
                chosen = standing.ready
            for reward, _ in chosen:
                costs = standing.account.ready[reward.pk].costs
                for nth, cost in enumerate(costs):
                    own = f"{key}:{standing.supporter.pk}:{nth}"
                    made.append(
                        _promise(own, standing.supporter, reward, cost, None, today, who, now)
                    )
    return made


def refuse_unless_earned(promise: Commitment, today: datetime.date) -> None:
    """Refuse (NotEarned) to owe a promise again whose credits have gone elsewhere."""
    if promise.reward_id is None or promise.credits == 0:
        return
    account = accounts.facts([promise.supporter_id]).account(promise.supporter_id, today)
    if account.balance < promise.credits:
        raise NotEarned(
            f"{promise} costs {promise.credits} credits, and {max(0, account.balance)} are left. "
            "Nothing was changed."
        )


def _promise(
    key: str,
    supporter: Supporter,
    reward: Reward,
    cost: int,
    due_on: datetime.date | None,
    today: datetime.date,
    who: User,
    now: datetime.datetime,
) -> Commitment:
    asks = Question.objects.filter(reward=reward, retired=False, required=True).exists()
    new = Commitment(
        key=key,
        made_by=who,
        made_at=now,
        number=next_number(),
        supporter=supporter,
        reward=reward,
        credits=cost,
        promised_on=today,
        ware=reward.ware,
        form=reward.form,
        seconds_allowed=reward.seconds_allowed,
        due_on=due_on or today + datetime.timedelta(weeks=reward.due_weeks),
        known_on=None if asks else today,
    )
    cleaned(new).save()
    Step.objects.create(
        key=key,
        made_by=who,
        made_at=now,
        commitment=new,
        what=Step.What.PROMISED,
        note=f"{reward.name} for {cost} credits",
    )
    return new
