"""The demonstration season's batches: on their way on the load day, or fired in the season.

Written down in the model and drawn by no dice, so that every other number stays what it was.
"""

import datetime
from collections.abc import Sequence

from vendor.demo import model, season
from vendor.demo.hands import Hands
from vendor.firings import batching
from vendor.firings.models import Batch, Stage
from vendor.supporters import choosing
from vendor.supporters.models import Commitment
from vendor.ware.models import Form

EVENING = datetime.time(17)
STAGES = {stage.name.lower(): stage for stage in Stage}


def begin(today: datetime.date, hands: Hands) -> dict[str, Batch]:
    """Write down the batches that are on the way on the load day, by the code of their form."""
    return {
        form: _batch(
            f"demo-batch-{form}",
            _form(form, hands),
            pieces,
            today - datetime.timedelta(days=thrown),
            [
                (STAGES[stage], today - datetime.timedelta(days=days), batching.Lost(lost, cause))
                for stage, days, lost, cause in steps
            ],
            hands,
        )
        for form, pieces, thrown, steps in model.BATCHES
    }


def of_firing(number: int, fired: season.Fired, hands: Hands) -> dict[str, Batch]:
    """Write down the batch that became all of a form in a firing, by the form's code."""
    found = {}
    for which, form, days in model.FIRED_BATCHES:
        if which != number:
            continue
        pieces = sum(line.loaded for line in fired.lines if line.ware.startswith(form))
        on = [fired.fired_on - datetime.timedelta(days=each) for each in days]
        steps = [
            (stage, day, batching.Lost(*((1, "cracked") if stage == Stage.DRY else (0, ""))))
            for stage, day in zip(list(Stage)[1:], on[1:], strict=True)
        ]
        key = f"demo-fired-{number}"
        found[form] = _batch(key, _form(form, hands), pieces + 1, on[0], steps, hands)
    return found


def take_into_the_making(
    promises: Sequence[Commitment], batches: dict[str, Batch], hands: Hands, now: datetime.datetime
) -> None:
    """Note of some owed promises that they are in the making in the batch of their form."""
    for number in model.IN_THE_MAKING:
        form = model.PROMISES[number][1].split("-")[0]
        choosing.start_making(
            key=f"demo-making-{number}",
            commitment=promises[number],
            batch=batches[form],
            who=hands.owner,
            now=now,
        )


def _batch(
    key: str,
    form: Form,
    pieces: int,
    thrown_on: datetime.date,
    steps: Sequence[tuple[Stage, datetime.date, batching.Lost]],
    hands: Hands,
) -> Batch:
    batch = batching.start_batch(
        key=key, form=form, pieces=pieces, thrown_on=thrown_on, who=hands.owner,
        now=hands.at(thrown_on, EVENING),
    )  # fmt: skip
    for stage, on, lost in steps:
        batch = batching.move_on(
            key=f"{key}-{stage}", batch=batch, to=stage, on=on, lost=lost, who=hands.owner,
            now=hands.at(on, EVENING),
        )  # fmt: skip
    return batch


def _form(code: str, hands: Hands) -> Form:
    return next(ware.form for ware in hands.ware.values() if ware.form.code == code)
