"""The demonstration season's supporters, and the pieces that are promised to them."""

import datetime
from collections.abc import Sequence

from vendor.demo import model, season
from vendor.demo.hands import Hands
from vendor.supporters import actions, people, sending
from vendor.supporters.models import Commitment

NINE = datetime.time(9)
EVENING = datetime.time(21)
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
    return [
        actions.promise(
            key=f"demo-promise-{number}",
            supporter=supporters[supporter],
            ware=hands.ware[code],
            due_on=today + datetime.timedelta(days=days),
            who=hands.owner,
            now=then,
        )
        for number, (supporter, code, _, days, _) in enumerate(model.PROMISES, start=1)
    ]


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
