"""Batches: begun, moved on, pieces lost, called off, and a step taken back.

Verbs of the trade, keyword-only, one transaction each; `key` makes a repeat change nothing. How a
batch goes in and out of a kiln is in `batch_loads`.
"""

import datetime
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from vendor.firings.batch_steps import (
    Said,
    done_before,
    refuse_day,
    refuse_more,
    refuse_over,
    stage_of,
    standing,
    write,
)
from vendor.firings.errors import (
    InTheKiln,
    NotForward,
    NothingToTakeBack,
    NotSoMany,
    WrongDay,
)
from vendor.firings.models import MAX_PIECES, Batch, BatchStep, Stage
from vendor.house import clock, dates
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.house.turns import take_turn
from vendor.ware.models import Form

What = BatchStep.What


@dataclass(frozen=True, slots=True)
class Lost:
    """So many pieces lost (0 or more), and why; a cause is needed where there is a loss."""

    pieces: int = 0
    cause: str = ""
    note: str = ""


def start_batch(
    *,
    key: str,
    form: Form,
    pieces: int,
    thrown_on: datetime.date,
    stage: int = Stage.THROWN,
    since: datetime.date | None = None,
    note: str = "",
    who: User,
    now: datetime.datetime,
) -> Batch:
    """Write a batch down, once: so many pieces of one form, thrown on a day.

    One that has come further already names its stage and the day it got there (`since`).
    """
    with transaction.atomic():
        take_turn()
        before = Batch.objects.filter(key=key).first()
        if before is not None:
            return before
        if not 1 <= pieces <= MAX_PIECES:
            raise NotSoMany(
                f"A batch has between 1 and {MAX_PIECES:,} pieces. Nothing was written down; look "
                "for a slip of the keys."
            )
        if thrown_on > clock.day_of(now, the_studio()):
            raise WrongDay(
                f"{dates.day(thrown_on)} is still to come. Nothing was written down: begin "
                "the batch when it is thrown."
            )
        last = Batch.objects.aggregate(last=Max("number"))["last"] or 0
        batch = Batch(
            key=key, made_by=who, made_at=now, number=last + 1, form=form, begun=pieces,
            thrown_on=thrown_on, since=thrown_on, note=note.strip(),
        )  # fmt: skip
        batch.full_clean()
        batch.save()
        batch = write(
            batch, key=f"{key}:begun", said=Said(What.STARTED, thrown_on), who=who, now=now
        )
        if stage > Stage.THROWN:
            on = since or thrown_on
            refuse_day(batch, on, now)
            batch = write(
                batch, key=f"{key}:stood", said=Said(What.MOVED, on, stage), who=who, now=now
            )
    return batch


def move_on(
    *,
    key: str,
    batch: Batch,
    to: int,
    on: datetime.date | None = None,
    lost: Lost | None = None,
    who: User,
    now: datetime.datetime,
) -> Batch:
    """Move a batch on to a later stage, any number of stages at once, with what was lost.

    `on` is the day it got there, today unless told otherwise. Refused: a stage that it has reached
    (NotForward), past the bisque while pieces are in a bisque firing (InTheKiln), a WrongDay.
    """
    loss = lost or Lost()
    with transaction.atomic():
        take_turn()
        fresh = _fresh(batch)
        if done_before(key, fresh, What.MOVED):
            return fresh
        refuse_over(fresh)
        if to <= fresh.stage or to not in Stage.values:
            raise NotForward(
                f"{fresh} is {Stage(fresh.stage).label.lower()} already, and a batch only moves on "
                "to a later stage. Nothing was changed: take its last step back if that was wrong."
            )
        if to >= Stage.BISQUE:
            _refuse_in_kiln(fresh, bisque=True, instead="unload it, and the batch moves on")
        day = _day(fresh, on, now)
        _refuse_loss(fresh, loss)
        said = Said(What.MOVED, day, to, loss.pieces, loss.cause, note=loss.note)
        return write(fresh, key=key, said=said, who=who, now=now)


def lose_pieces(
    *,
    key: str,
    batch: Batch,
    lost: Lost,
    on: datetime.date | None = None,
    who: User,
    now: datetime.datetime,
) -> Batch:
    """Write down that pieces of a batch were lost outside a kiln, and why."""
    with transaction.atomic():
        take_turn()
        fresh = _fresh(batch)
        if done_before(key, fresh, What.LOST):
            return fresh
        refuse_over(fresh)
        if lost.pieces < 1:
            raise NotSoMany("Say how many pieces were lost, one at least. Nothing was changed.")
        day = _day(fresh, on, now)
        _refuse_loss(fresh, lost)
        said = Said(What.LOST, day, None, lost.pieces, lost.cause, note=lost.note)
        return write(fresh, key=key, said=said, who=who, now=now)


def call_off_batch(
    *, key: str, batch: Batch, reason: str, who: User, now: datetime.datetime
) -> Batch:
    """Call a batch off: what is left of it goes back to clay. Refused while pieces are in a kiln.

    It stays in the book with its reason, and can be taken up again by taking this step back.
    """
    why = reason_of(reason, "the batch is called off")
    with transaction.atomic():
        take_turn()
        fresh = _fresh(batch)
        if done_before(key, fresh, What.CALLED_OFF):
            return fresh
        refuse_over(fresh)
        _refuse_in_kiln(fresh, instead="take it out of the firing, or unload it, first")
        day = _day(fresh, None, now)
        cause = BatchStep.Cause.OTHER
        said = Said(What.CALLED_OFF, day, None, fresh.left, cause, note=why)
        return write(fresh, key=key, said=said, who=who, now=now)


def take_back_step(
    *, key: str, batch: Batch, step: BatchStep, who: User, now: datetime.datetime
) -> Batch:
    """Take the last step of a batch back by another one that names it.

    Refused (NothingToTakeBack): a step that is not the last any more, the first of all, and an
    unloading, which is undone on its firing.
    """
    with transaction.atomic():
        take_turn()
        fresh = _fresh(batch)
        if done_before(key, fresh, What.TAKEN_BACK):
            return fresh
        steps = standing(fresh)
        _refuse_to_take_back(fresh, step, steps[-1])
        stage = stage_of(steps[:-1])
        if stage < Stage.BISQUE <= fresh.stage:
            _refuse_in_kiln(fresh, bisque=False, instead="take it out of the firing first")
        said = Said(What.TAKEN_BACK, _today(now), stage, undoes=steps[-1])
        return write(fresh, key=key, said=said, who=who, now=now)


def _refuse_to_take_back(batch: Batch, step: BatchStep, last: BatchStep) -> None:
    if step.pk != last.pk:
        raise NothingToTakeBack(
            f"Something else happened to {batch} after this page was opened. Nothing was changed: "
            "look at the batch afresh; only its last step can be taken back."
        )
    if last.what == What.STARTED:
        raise NothingToTakeBack(
            f"Nothing has happened to {batch} since it was begun. Nothing was changed: call it "
            "off if it was never thrown."
        )
    if last.what == What.UNLOADED:
        raise NothingToTakeBack(
            f"{batch} came out of {last.firing}. Nothing was changed: undo the unloading of "
            f"{last.firing} instead."
        )


def _fresh(batch: Batch) -> Batch:
    return Batch.objects.select_related("form").get(pk=batch.pk)


def _today(now: datetime.datetime) -> datetime.date:
    return clock.day_of(now, the_studio())


def _day(batch: Batch, on: datetime.date | None, now: datetime.datetime) -> datetime.date:
    """Return the day of a step: the one told, else today; never one that can't be."""
    day = on or _today(now)
    refuse_day(batch, day, now)
    return day


def _refuse_loss(batch: Batch, lost: Lost) -> None:
    if lost.pieces < 0:
        raise NotSoMany("A number of pieces can't be below zero. Nothing was changed.")
    if lost.pieces and lost.cause not in BatchStep.Cause.values:
        raise Refused("Please say why they were lost. Nothing was changed.")
    if lost.cause and not lost.pieces:
        raise NotSoMany(
            "A cause was chosen and no lost piece entered. Nothing was changed: say how many, or "
            "leave the cause out."
        )
    refuse_more(batch, lost.pieces)


def _refuse_in_kiln(batch: Batch, *, instead: str, bisque: bool | None = None) -> None:
    """Refuse while pieces are in a firing to be unloaded: any, or only (not) a bisque one."""
    for line in batch.lines.to_unload().select_related("firing"):
        if bisque is None or line.firing.is_bisque == bisque:
            raise InTheKiln(
                f"{line.loaded} of {batch} are in {line.firing}, which is still to be unloaded. "
                f"Nothing was changed: {instead}."
            )
