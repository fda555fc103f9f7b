"""Unloading a kiln: counting a firing out, and undoing a count that was wrong.

Like `actions`, of which this is the second half. The firsts and seconds go on to the studio
shelf by one entry in the ledger, however often the count is sent; losses never get there.
Bisque is counted out too, but is no stock yet, so that nothing is entered for it.
"""

import datetime
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.db import transaction

from vendor.firings import batch_loads
from vendor.firings.actions import refuse_unless_open
from vendor.firings.errors import (
    DoesNotAddUp,
    NotFiredYet,
    NotUnloaded,
    PageTooOld,
)
from vendor.firings.models import Firing, FiringLine, Loss, UndoneUnloading
from vendor.house import clock
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger.models import Entry, Place
from vendor.ledger.posting import take_turn
from vendor.ware.models import Grade


@dataclass(frozen=True, slots=True)
class Count:
    """What came out of one line: whole pieces, flawed ones, and the lost ones by cause.

    `causes` maps `Loss.Cause` to pieces; the line's losses are their sum.
    """

    line_id: int
    firsts: int
    seconds: int = 0
    causes: Mapping[str, int] = field(default_factory=dict)

    @property
    def lost(self) -> int:
        """All lost pieces."""
        return sum(self.causes.values())


def unload_firing(
    *,
    firing: Firing,
    counts: Sequence[Count],
    who: User,
    now: datetime.datetime,
    turn: int | None = None,
) -> Firing:
    """Count a firing out, and put what can be sold on the studio shelf, once.

    Sent again with the same numbers, it changes nothing and answers the same. `turn` is how often
    an unloading of this firing had been undone when the page was opened; a page from before that
    is refused (PageTooOld). Refuses a line that does not add up, by name (DoesNotAddUp), other
    numbers than before (UnloadedAlready), and a firing still to come (NotFiredYet) or CalledOff.
    Batches that it carried move on to bisque, or end with their last piece.
    """
    with transaction.atomic():
        take_turn()
        fresh = Firing.objects.get(pk=firing.pk)
        undone = fresh.undone_unloadings.count()
        if turn is not None and turn != undone:
            raise PageTooOld(
                f"The unloading of {fresh} was undone after this page was opened. Nothing was "
                "changed: open the firing afresh and count from there."
            )
        lines = list(
            fresh.lines.select_related(
                "ware__form", "ware__finish", "form", "batch"
            ).prefetch_related("losses")
        )
        if fresh.is_unloaded and _same(lines, counts):
            return fresh
        refuse_unless_open(fresh)
        _refuse_to_come(fresh, now)
        _refuse_sums(lines, counts)
        by_line = {count.line_id: count for count in counts}
        _write_counts(lines, by_line)
        fresh.entry = _shelve(fresh, lines, by_line, who, now, undone)
        fresh.unloaded_at, fresh.unloaded_by = now, who
        fresh.save(update_fields=["entry", "unloaded_at", "unloaded_by"])
        batch_loads.came_out(fresh, lines, undone=undone, who=who, now=now)
    return fresh


def undo_unloading(
    *, firing: Firing, who: User, now: datetime.datetime, reason: str, turn: int | None = None
) -> Firing:
    """Undo an unloading by a reversing entry, and open the firing for a fresh count.

    Refused where its pieces are not all free on the studio shelf any more (the ledger's NotEnough
    or HeldPiece), where a batch of its bisque has gone on since (UnloadedAlready), where there is
    nothing to undo (NotUnloaded), and without a reason. What had been counted is kept in an
    UndoneUnloading. The same `turn` again changes nothing.
    """
    why = reason_of(reason, "the count was wrong")
    with transaction.atomic():
        take_turn()
        fresh = Firing.objects.get(pk=firing.pk)
        undone = fresh.undone_unloadings.count()
        if turn is not None and turn < undone:
            return fresh
        if fresh.unloaded_at is None or fresh.unloaded_by is None:
            raise NotUnloaded(f"{fresh} has not been unloaded. Nothing was changed.")
        batch_loads.refuse_to_undo(fresh)
        lines = list(fresh.lines.prefetch_related("losses"))
        key = f"{_ledger_key(fresh, undone)}:undone"
        if fresh.entry is not None:
            ledger.reverse(key=key, entry=fresh.entry, who=who, now=now, reason=reason)
        UndoneUnloading.objects.create(
            key=key,
            made_by=who,
            made_at=now,
            firing=fresh,
            entry=fresh.entry,
            unloaded_at=fresh.unloaded_at,
            unloaded_by=fresh.unloaded_by,
            reason=why,
            counts=[_snapshot(line) for line in lines],
        )
        Loss.objects.filter(line__firing=fresh).delete()
        fresh.lines.update(firsts=None, seconds=None, lost=None)
        fresh.entry = fresh.unloaded_at = fresh.unloaded_by = None
        fresh.save(update_fields=["entry", "unloaded_at", "unloaded_by"])
        batch_loads.went_back(fresh, undone=undone, who=who, now=now)
    return fresh


def _ledger_key(firing: Firing, undone: int) -> str:
    """Return the key of a firing's unloading: one of its own for each count after an undoing."""
    return f"firing:{firing.pk}:{undone}" if undone else f"firing:{firing.pk}"


def _same(lines: Sequence[FiringLine], counts: Sequence[Count]) -> bool:
    """Tell whether a count says what was counted before."""
    before = {
        line.pk: (
            line.firsts,
            line.seconds,
            {loss.cause: loss.quantity for loss in line.losses.all()},
        )
        for line in lines
    }
    said = {
        count.line_id: (
            count.firsts,
            count.seconds,
            {cause: pieces for cause, pieces in count.causes.items() if pieces},
        )
        for count in counts
    }
    return before == said


def _refuse_to_come(firing: Firing, now: datetime.datetime) -> None:
    if firing.fired_on > clock.day_of(now, the_studio()):
        raise NotFiredYet(
            f"{firing} is dated {firing.fired_on}, which is still to come. Nothing was changed: "
            "correct its day first if it has been fired."
        )


def _refuse_sums(lines: Sequence[FiringLine], counts: Sequence[Count]) -> None:
    """Refuse counts that leave a line out, name a strange one, or don't add up."""
    by_line = {count.line_id: count for count in counts}
    if len(by_line) < len(counts) or by_line.keys() != {line.pk for line in lines}:
        raise PageTooOld(
            "What is in this firing was changed after this page was opened. Nothing was changed: "
            "open the firing afresh and count from there."
        )
    for line in lines:
        count = by_line[line.pk]
        if min(count.firsts, count.seconds, *count.causes.values()) < 0:
            raise DoesNotAddUp(f"{line.label}: no count can be below zero. Nothing was changed.")
        if unknown := set(count.causes) - set(Loss.Cause.values):
            raise DoesNotAddUp(
                f"{line.label}: “{min(unknown)}” is no cause of a loss. Nothing was changed."
            )
        total = count.firsts + count.seconds + count.lost
        if total != line.loaded:
            apart = abs(total - line.loaded)
            raise DoesNotAddUp(
                f"{line.label}: {line.loaded} went in, and {count.firsts} firsts, {count.seconds} "
                f"seconds and {count.lost} lost make {total}, {apart} too "
                f"{'many' if total > line.loaded else 'few'}. Nothing was changed: count this "
                "line again."
            )


def _write_counts(lines: Sequence[FiringLine], counts: Mapping[int, Count]) -> None:
    losses = []
    for line in lines:
        count = counts[line.pk]
        line.firsts, line.seconds, line.lost = count.firsts, count.seconds, count.lost
        losses += [
            Loss(line=line, cause=cause, quantity=pieces)
            for cause, pieces in count.causes.items()
            if pieces
        ]
    FiringLine.objects.bulk_update(lines, ["firsts", "seconds", "lost"])
    Loss.objects.bulk_create(losses)


def _shelve(
    firing: Firing,
    lines: Sequence[FiringLine],
    counts: Mapping[int, Count],
    who: User,
    now: datetime.datetime,
    undone: int,
) -> Entry | None:
    """Enter what can be sold on the studio shelf; None where there is nothing of it."""
    brought: Counter[tuple[int, str]] = Counter()
    for line in lines:
        if line.ware_id is not None:
            brought[line.ware_id, Grade.FIRST] += counts[line.pk].firsts
            brought[line.ware_id, Grade.SECOND] += counts[line.pk].seconds
    pieces = [
        ledger.Line(ware_id, quantity, grade)
        for (ware_id, grade), quantity in brought.items()
        if quantity
    ]
    if not pieces:
        return None
    return ledger.receive(
        key=_ledger_key(firing, undone),
        lines=pieces,
        into=ledger.the_place(Place.Kind.STUDIO),
        who=who,
        now=now,
        reason=str(firing),
    )


def _snapshot(line: FiringLine) -> dict[str, object]:
    """Return what was counted on a line, as plain values to keep."""
    return {
        "line": line.pk,
        "ware": line.ware_id,
        "form": line.form_id,
        "batch": line.batch_id,
        "loaded": line.loaded,
        "firsts": line.firsts,
        "seconds": line.seconds,
        "lost": line.lost,
        "causes": {loss.cause: loss.quantity for loss in line.losses.all()},
    }
