"""How one step of a batch is written once, and a batch brought in line with its steps.

Private to the part: `batching` and `batch_loads` hold the verbs. Everything here is called in the
writer's turn.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from vendor.firings import followers
from vendor.firings.errors import BatchOver, NotSoMany, WrongDay
from vendor.firings.models import Batch, BatchStep, Firing, FiringLine, Stage
from vendor.house import clock, dates
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger.errors import refuse_other

What = BatchStep.What


@dataclass(frozen=True, slots=True)
class Said:
    """What a step says: where the batch stands after it, and what was lost or came out, and why."""

    what: str
    on: datetime.date
    stage: int | None = None
    lost: int = 0
    cause: str = ""
    out: int = 0
    note: str = ""
    firing: Firing | None = None
    undoes: BatchStep | None = None


@dataclass(slots=True)
class _Kilns:
    """Pieces of a batch by what became of them in kilns."""

    open_bisque: int = 0
    open_glaze: int = 0
    bisqued: int = 0
    glazed: int = 0


@dataclass(slots=True)
class _Told:
    """The standing steps of a batch, oldest first, and its pieces in kilns."""

    steps: list[BatchStep] = field(default_factory=list)
    kilns: _Kilns = field(default_factory=_Kilns)


def done_before(key: str, batch: Batch, what: str) -> bool:
    """Tell whether a step was written before; KeyReused where its key belongs to another one."""
    before = BatchStep.objects.filter(key=key).first()
    if before is not None:
        refuse_other((before.batch_id, before.what), (batch.pk, what))
    return before is not None


def write(batch: Batch, *, key: str, said: Said, who: User, now: datetime.datetime) -> Batch:
    """Add a step to a batch's history and bring the batch in line with it."""
    step = BatchStep(
        key=key,
        made_by=who,
        made_at=now,
        batch=batch,
        what=said.what,
        was=batch.stage,
        stage=said.stage or batch.stage,
        on=said.on,
        lost=said.lost,
        cause=said.cause,
        out=said.out,
        note=said.note.strip()[:200],
        firing=said.firing,
        undoes=said.undoes,
    )
    step.full_clean()
    step.save()
    settle([batch.pk])
    fresh = Batch.objects.select_related("form").get(pk=batch.pk)
    if fresh.is_over and not batch.is_over and (fresh.called_off or not fresh.out):
        why = f"{fresh} was called off" if fresh.called_off else f"All of {fresh} was lost"
        followers.tell_batch_gone(batch=fresh, why=why, who=who, now=now)
    return fresh


def standing(batch: Batch) -> list[BatchStep]:
    """Return the steps of a batch that were not taken back, the oldest first."""
    return list(batch.steps.exclude(what=What.TAKEN_BACK).filter(undone_by__isnull=True))


def stage_of(steps: Iterable[BatchStep]) -> int:
    """Return the stage that standing steps lead to."""
    return max((step.stage for step in steps), default=Stage.THROWN)


def settle(batch_ids: Iterable[int]) -> None:
    """Bring the figures of batches in line with their steps and firing lines (four statements).

    Refuses (NotSoMany) where firings carry more pieces of a batch than it has.
    """
    batches = list(Batch.objects.filter(pk__in=set(batch_ids)))
    told = _told(batches)
    for batch in batches:
        _settle(batch, told[batch.pk])
    Batch.objects.bulk_update(
        batches,
        ["stage", "since", "lost", "out", "in_kiln", "bisqued", "called_off", "ended_at",
         "ended_by"],
    )  # fmt: skip


def _told(batches: list[Batch]) -> dict[int, _Told]:
    found: dict[int, _Told] = defaultdict(_Told)
    steps = BatchStep.objects.filter(batch__in=batches).exclude(what=What.TAKEN_BACK)
    for step in steps.filter(undone_by__isnull=True):
        found[step.batch_id].steps.append(step)
    lines = FiringLine.objects.filter(batch__in=batches, firing__called_off_at__isnull=True)
    for line in lines.select_related("firing"):
        assert line.batch_id is not None
        kilns = found[line.batch_id].kilns
        if line.firing.is_bisque and line.firing.is_open:
            kilns.open_bisque += line.loaded
        elif line.firing.is_bisque:
            kilns.bisqued += line.loaded - (line.lost or 0)
        elif line.firing.is_open:
            kilns.open_glaze += line.loaded
        else:
            kilns.glazed += line.loaded
    return found


def _settle(batch: Batch, told: _Told) -> None:
    steps, kilns = told.steps, told.kilns
    batch.stage = stage_of(steps)
    batch.since = next(step.on for step in steps if step.stage == batch.stage)
    batch.lost = sum(step.lost for step in steps)
    batch.out = sum(step.out for step in steps)
    batch.in_kiln = kilns.open_bisque + kilns.open_glaze
    if batch.at_hand < 0:
        raise NotSoMany(
            f"{batch} has {batch.left} pieces left, and {batch.in_kiln} of it would be in kilns. "
            "Nothing was changed: look at the batch and count again."
        )
    ahead = kilns.bisqued - kilns.open_glaze - kilns.glazed
    batch.bisqued = 0 if batch.stage >= Stage.BISQUE else min(max(ahead, 0), batch.at_hand)
    over = [step for step in steps if step.what == What.CALLED_OFF]
    batch.called_off = over[-1].note if over and batch.left == 0 else ""
    last = steps[-1] if batch.left == 0 else None
    batch.ended_at = last.made_at if last else None
    batch.ended_by_id = last.made_by_id if last else None


def refuse_over(batch: Batch) -> None:
    """Refuse what can only be done while pieces of a batch are on their way."""
    if batch.is_over:
        raise BatchOver(
            f"{batch} is over ({batch.state.lower()}). Nothing was changed: take its last step "
            "back first if that was wrong."
        )


def refuse_day(batch: Batch, on: datetime.date, now: datetime.datetime) -> None:
    """Refuse a day to come, and one before what happened to the batch last."""
    if on > clock.day_of(now, the_studio()):
        raise WrongDay(
            f"{dates.day(on)} is still to come. Nothing was changed: write it down when it "
            "has happened."
        )
    last = max((step.on for step in standing(batch)), default=batch.thrown_on)
    if on < last:
        raise WrongDay(
            f"{batch} was {Stage(batch.stage).label.lower()} by {dates.day(last)} already, "
            f"and {dates.day(on)} is before that. Nothing was changed: choose a later day."
        )


def refuse_more(batch: Batch, pieces: int) -> None:
    """Refuse to lose more pieces than are at hand."""
    if pieces > batch.at_hand:
        kiln = f", and {batch.in_kiln} are in a kiln" if batch.in_kiln else ""
        raise NotSoMany(
            f"{batch} has {batch.at_hand} pieces at hand{kiln}. Nothing was changed: {pieces} "
            "can't be lost; look for a slip of the keys."
        )
