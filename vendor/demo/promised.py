"""The demonstration season's supporters, and the pieces that are promised to them."""

import datetime
from collections.abc import Sequence

from vendor.demo import model, season
from vendor.demo import promises as months
from vendor.demo.hands import Hands
from vendor.supporters import actions, choosing, earning, people, sending
from vendor.supporters.models import Commitment, Reward, Supporter

NINE = datetime.time(9)
EVENING = datetime.time(21)
TABLE = "A piece for the table"
LETTERING = "Maud's kitchen"
# Rewards that were promised lately: the supporter, and whether they were asked for their choices.
CHOICES_MISSING = ((0, True), (2, False))
BEFORE_THE_SEASON = datetime.timedelta(days=60)


def write_down(today: datetime.date, *, told: Sequence[str], hands: Hands) -> list[Commitment]:
    """Write down the supporters and what each is promised, in the order of the model."""
    then = hands.at(today - BEFORE_THE_SEASON, NINE)
    supporters = [
        people.add_supporter(
            key=f"demo-supporter-{number}",
            name=name,
            email=f"{name.split()[0].lower()}@example.org",
            address=f"{number} Weir Lane\nOxmere",
            who=hands.owner,
            now=then,
        )
        for number, name in enumerate(told, start=1)
    ]
    months.write_rules(today, hands)
    months.write_months(supporters, today, hands)
    rewards = {reward.name: reward for reward in Reward.objects.select_related("form", "ware")}
    promises = [
        _promise(number, supporters[each[0]], rewards, each, today, hands)
        for number, each in enumerate(model.PROMISES, start=1)
    ]
    for number, (supporter, asked) in enumerate(CHOICES_MISSING, start=1):
        _leave_open(number, supporters[supporter], rewards[TABLE], asked, today, hands)
    return promises


def _promise(
    number: int,
    supporter: Supporter,
    rewards: dict[str, Reward],
    told: tuple[int, str, int | None, int, bool],
    today: datetime.date,
    hands: Hands,
) -> Commitment:
    """Promise what was earned by then, and write down that this very ware was chosen."""
    _, code, _, days, _ = told
    then = hands.at(today - BEFORE_THE_SEASON, NINE)
    made = earning.promise_reward(
        key=f"demo-promise-{number}",
        supporter=supporter,
        reward=rewards[months.reward_for(code)],
        due_on=today + datetime.timedelta(days=days),
        who=hands.owner,
        now=then,
    )
    ware = hands.ware[code]
    answers = {"form": ware.form.name, "finish": ware.finish.name}
    if made.reward is not None and made.reward.form is not None:
        answers["lettering"] = LETTERING
    return choosing.write_choices(
        key=f"demo-choices-{number}",
        commitment=made,
        answers={question.pk: answers[question.kind] for question in choosing.questions_of(made)},
        who=hands.owner,
        now=then + datetime.timedelta(days=3),
    )


def _leave_open(
    number: int,
    supporter: Supporter,
    reward: Reward,
    asked: bool,
    today: datetime.date,
    hands: Hands,
) -> None:
    """Promise a reward whose choices are still missing, asked for or not."""
    then = hands.at(today - datetime.timedelta(days=9), NINE)
    made = earning.promise_reward(
        key=f"demo-open-{number}", supporter=supporter, reward=reward, who=hands.owner, now=then
    )
    if asked:
        choosing.ask_choices(
            key=f"demo-asked-{number}",
            commitment=made,
            who=hands.owner,
            now=then + datetime.timedelta(days=1),
        )


def keep(promises: Sequence[Commitment], *, after: int, fired: season.Fired, hands: Hands) -> None:
    """Set the promised pieces of a firing aside as soon as it is counted out; send what is due."""
    if fired.unloaded_on is None:
        return
    for promise, (_, code, number, _, sent) in zip(promises, model.PROMISES, strict=True):
        if number != after:
            continue
        key = f"demo-{promise.key}"
        now = hands.at(fired.unloaded_on, EVENING)
        held = actions.keep_piece(
            key=f"{key}-keep", commitment=promise, ware=hands.ware[code], who=hands.owner, now=now
        )
        if sent:
            sending.send_reward(
                key=f"{key}-send",
                commitment=held,
                carrier="Post",
                cost=1150,
                who=hands.owner,
                now=now + datetime.timedelta(hours=1),
            )
