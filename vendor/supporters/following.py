"""Lets promises follow what becomes of batches and firings they are in the making in.

`firings.followers` calls it within the act's own transaction. What is promised from pieces that
will not come is owed again, with a step that says why.
"""

import datetime
from collections.abc import Iterable, Sequence

from vendor.firings.models import Batch, FiringLine
from vendor.house.models import User, new_key
from vendor.supporters.models import Commitment, Step
from vendor.supporters.steps import Act

State, What = Commitment.State, Step.What
MAKING = "state", "batch", "firing_line"


def batch_gone(*, batch: Batch, why: str, who: User, now: datetime.datetime) -> None:
    """Owe again what is in the making in a batch that was called off or lost as a whole."""
    for promise in _in_the_making(Commitment.objects.filter(batch=batch)):
        _owe_again(promise, why, who, now)


def lines_gone(*, lines: Sequence[FiringLine], why: str, who: User, now: datetime.datetime) -> None:
    """Find another place for what is in the making in lines of which nothing will come.

    That is another open line of the same firing which fits it, else its batch; else it is owed
    again.
    """
    gone = {line.pk for line in lines}
    there = Commitment.objects.filter(firing_line__in=gone)
    for promise in _in_the_making(there):
        other = _other_line(promise, gone)
        if other is None and (promise.batch is None or promise.batch.is_over):
            _owe_again(promise, why, who, now)
            continue
        act = Act(new_key(), What.MAKING, promise, who, now)
        act.commitment.firing_line = other
        if other is not None:
            act.commitment.batch = other.batch
        place = f"{other.firing}: {other.label}" if other is not None else promise.batch
        act.write(*MAKING, note=f"{why}; now {place}"[:300])
    # What has its piece, or is over, only named the line for its history.
    there.exclude(state=State.MAKING).update(firing_line=None)


def _in_the_making(promises: Iterable[Commitment]) -> list[Commitment]:
    found = Commitment.objects.named().filter(
        pk__in=[each.pk for each in promises], state=State.MAKING
    )
    return list(found.order_by("number"))


def _other_line(promise: Commitment, gone: set[int]) -> FiringLine | None:
    """Return another line of the promise's open firing that fits it, of its own batch first."""
    if promise.firing_line is None or not promise.firing_line.firing.is_open:
        return None
    lines = promise.firing_line.firing.lines.exclude(pk__in=gone).named()
    fitting = [line for line in lines if promise.fits_line(line)]
    return min(fitting, key=lambda line: line.batch_id != promise.batch_id, default=None)


def _owe_again(promise: Commitment, why: str, who: User, now: datetime.datetime) -> None:
    act = Act(new_key(), What.REOPENED, promise, who, now)
    act.commitment.state = State.OWED
    act.commitment.batch = act.commitment.firing_line = None
    act.write(*MAKING, note=why)
