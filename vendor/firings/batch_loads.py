"""Batches in and out of a kiln: what a firing may take of them, and what unloading does to them.

Called by `actions` and `unloading` in their own transaction; not by views.
"""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence

from vendor.firings import followers
from vendor.firings.batch_steps import Said, settle, stage_of, standing, write
from vendor.firings.errors import NotForward, NotSoMany, NotThisKind, PageTooOld, UnloadedAlready
from vendor.firings.losses import causes_in_words
from vendor.firings.models import Batch, BatchStep, Firing, FiringLine, Loss, Stage
from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ware.models import Form, Ware

What = BatchStep.What


def refuse_loads(
    firing: Firing, loads: Iterable[tuple[int, int, int | None]], *, before: Counter[int]
) -> None:
    """Refuse what a firing can't take of batches.

    `loads` are (thing, pieces, batch); `before` are the pieces by batch that the firing carries so
    far. Refused: a piece of another form than the batch (NotThisKind), a batch that is not ready
    for this kind of firing (NotForward), and more pieces than it has to spare (NotSoMany).
    """
    wanted: dict[int, Counter[int]] = defaultdict(Counter)
    for thing_id, pieces, batch_id in loads:
        if batch_id is not None:
            wanted[batch_id][thing_id] += pieces
    batches = Batch.objects.select_related("form").in_bulk(list(wanted))
    if len(batches) < len(wanted):
        raise PageTooOld(
            "One of the batches is not in the book. Nothing was recorded: open the page afresh."
        )
    forms = _forms(firing, {thing for things in wanted.values() for thing in things})
    for batch_id, things in wanted.items():
        batch = batches[batch_id]
        if any(forms.get(thing) != batch.form_id for thing in things):
            raise NotThisKind(
                f"{batch} is of {batch.form.name}, and something else was to come from it. Nothing "
                "was recorded: load that without a batch."
            )
        _refuse_not_ready(firing, batch, things.total(), before[batch_id])


def _forms(firing: Firing, things: set[int]) -> dict[int, int]:
    """Return the form of each thing."""
    if firing.is_bisque:
        return {pk: pk for pk in Form.objects.filter(pk__in=things).values_list("pk", flat=True)}
    return dict(Ware.objects.filter(pk__in=things).values_list("pk", "form_id"))


def _refuse_not_ready(firing: Firing, batch: Batch, pieces: int, before: int) -> None:
    ready = (batch.to_bisque if firing.is_bisque else batch.to_glaze) + before
    if pieces <= ready:
        return
    if firing.is_bisque and batch.stage >= Stage.BISQUE and not batch.is_over:
        raise NotForward(
            f"{batch} is {Stage(batch.stage).label.lower()} already. Nothing was recorded: load it "
            "into a glaze firing, or take its last step back if that was wrong."
        )
    if not firing.is_bisque and batch.stage < Stage.BISQUE and not ready:
        raise NotForward(
            f"{batch} is {Stage(batch.stage).label.lower()} and has no bisque to glaze. Nothing "
            "was recorded: move the batch on first, or load it into a bisque firing."
        )
    raise NotSoMany(
        f"{batch} has {ready} pieces for this firing, and {pieces} were entered. Nothing was "
        "recorded: count again, or enter the others without a batch."
    )


def batches_of(firing: Firing) -> Counter[int]:
    """Return the pieces of each batch that a firing carries (one statement)."""
    found: Counter[int] = Counter()
    for batch_id, pieces in firing.lines.filter(batch__isnull=False).values_list(
        "batch_id", "loaded"
    ):
        found[batch_id] += pieces
    return found


def came_out(
    firing: Firing, lines: Sequence[FiringLine], *, undone: int, who: User, now: datetime.datetime
) -> None:
    """Note on each batch what an unloading brought of it and lost; bisque moves the batch on.

    `lines` are counted; `undone` is how often an unloading of this firing was undone so far.
    """
    day = clock.day_of(now, the_studio())
    gone = [line for line in lines if line.lost == line.loaded]
    followers.tell_lines_gone(lines=gone, why=f"All lost in {firing}", who=who, now=now)
    by_batch: dict[int, list[FiringLine]] = defaultdict(list)
    for line in lines:
        if line.batch_id is not None:
            by_batch[line.batch_id].append(line)
    settle(by_batch)
    why = _causes(firing)
    for batch_id, its in sorted(by_batch.items()):
        batch = Batch.objects.select_related("form").get(pk=batch_id)
        lost = sum(line.lost or 0 for line in its)
        whole = sum((line.firsts or 0) + (line.seconds or 0) for line in its)
        said = Said(
            What.UNLOADED,
            max([day, *(step.on for step in standing(batch))]),
            _reached(firing, batch, lost),
            lost,
            out=0 if firing.is_bisque else whole,
            note=causes_in_words(sum((why[line.pk] for line in its), Counter())),
            firing=firing,
        )
        write(batch, key=f"firing:{firing.pk}:{undone}:{batch_id}", said=said, who=who, now=now)


def _causes(firing: Firing) -> dict[int, Counter[str]]:
    """Return what each line of a firing lost by cause (one statement)."""
    found: dict[int, Counter[str]] = defaultdict(Counter)
    for loss in Loss.objects.filter(line__firing=firing):
        found[loss.line_id][loss.cause] += loss.quantity
    return found


def _reached(firing: Firing, batch: Batch, lost: int) -> int:
    """Return the stage of a batch after an unloading: bisque once no raw piece is left.

    The batch is settled with the firing unloaded, its losses not yet taken off.
    """
    if not firing.is_bisque or batch.stage >= Stage.BISQUE:
        return batch.stage
    raw = batch.left - lost - batch.bisqued - _in_glaze(batch)
    return Stage.BISQUE if raw <= 0 else batch.stage


def _in_glaze(batch: Batch) -> int:
    """Return the pieces of a batch in glaze firings that are still to be unloaded."""
    lines = batch.lines.to_unload().exclude(firing__kind=Firing.Kind.BISQUE)
    return sum(lines.values_list("loaded", flat=True))


def refuse_to_undo(firing: Firing) -> None:
    """Refuse to undo the unloading of bisque whose batches have gone on since (UnloadedAlready)."""
    if not firing.is_bisque:
        return
    for batch in Batch.objects.filter(lines__firing=firing).distinct():
        last = standing(batch)[-1]
        if last.firing_id != firing.pk:
            raise UnloadedAlready(
                f"{batch} has gone on since {firing} was unloaded: {last.said.lower()}. Nothing "
                f"was changed: take that back on {batch} first."
            )
        if batch.in_kiln:
            raise UnloadedAlready(
                f"{batch} has gone into another kiln since {firing} was unloaded. Nothing was "
                "changed: take it out of that firing first."
            )


def went_back(firing: Firing, *, undone: int, who: User, now: datetime.datetime) -> None:
    """Take back on each batch what an unloading said that is undone."""
    steps = BatchStep.objects.filter(
        firing=firing, what=What.UNLOADED, undone_by__isnull=True
    ).select_related("batch")
    for step in steps.order_by("pk"):
        batch = Batch.objects.get(pk=step.batch_id)
        rest = [each for each in standing(batch) if each.pk != step.pk]
        said = Said(What.TAKEN_BACK, clock.day_of(now, the_studio()), stage_of(rest), undoes=step)
        key = f"firing:{firing.pk}:{undone}:{batch.pk}:back"
        write(batch, key=key, said=said, who=who, now=now)
