"""Where promised pieces are in the making, in words, and where they could be.

Reads in a fixed number of statements. A promise names a batch or a firing's line; when pieces of
its batch go into a kiln, its place is read from there.
"""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from vendor.firings import boards
from vendor.firings.models import Batch, Firing, FiringLine
from vendor.house import dates
from vendor.supporters.models import Commitment

A_WEEK = 7


@dataclass(frozen=True, slots=True)
class Place:
    """Where a promised piece is: in words, and which batch or firing to look at.

    `is_out` says that the firing has been unloaded, so that its piece can be held; `warning` says
    what stands in its way, such as more promises than pieces.
    """

    words: str
    batch: Batch | None = None
    firing: Firing | None = None
    is_out: bool = False
    warning: str = ""


@dataclass(frozen=True, slots=True)
class Offered:
    """A batch or a line in which a promise could be in the making."""

    value: str
    words: str


def tell(promises: Iterable[Commitment], *, today: datetime.date) -> None:
    """Set `place` on every promise that is in the making (two statements)."""
    told = [each for each in promises if each.state == Commitment.State.MAKING]
    batches = {each.batch_id for each in told if each.batch_id is not None}
    firing_lines = {each.firing_line_id for each in told if each.firing_line_id is not None}
    company = list(
        Commitment.objects.named().filter(state=Commitment.State.MAKING).filter(
            Q(batch__in=batches) | Q(firing_line__in=firing_lines)
        )
    )  # fmt: skip
    lines = _lines(batches)
    found = {each.pk: _place(each, lines[each.batch_id or 0], today) for each in [*told, *company]}
    waiting = [found[each.pk] for each in company if not found[each.pk].is_out]
    in_batch = Counter(each.batch.pk for each in waiting if each.batch is not None)
    in_line = Counter(
        each.firing_line_id for each in company if not found[each.pk].is_out and each.firing_line_id
    )
    for each in told:
        place = found[each.pk]
        each.place = _warned(each, place, in_batch, in_line)


def _lines(batches: Iterable[int]) -> dict[int, list[FiringLine]]:
    """Return the lines that pieces of batches went into, the latest first (one statement)."""
    found: dict[int, list[FiringLine]] = defaultdict(list)
    lines = FiringLine.objects.filter(batch__in=batches, firing__called_off_at__isnull=True)
    for line in lines.named().order_by("-firing__fired_on", "-pk"):
        found[line.batch_id or 0].append(line)
    return found


def _place(promise: Commitment, lines: list[FiringLine], today: datetime.date) -> Place:
    batch = promise.batch
    line = _line_now(promise, lines)
    if line is not None:
        return _in_line(line, today)
    own = promise.firing_line
    if batch is None and own is not None:
        why = "was called off" if own.firing.is_called_off else "brought nothing of it"
        return Place(f"{own.firing} {why}", firing=own.firing, warning="Make it elsewhere.")
    if batch is None:
        firing = promise.firing
        return Place(str(firing or ""), firing=firing, is_out=bool(firing and firing.is_unloaded))
    if batch.is_over:
        return Place(
            f"{batch} is over", batch, warning=f"Nothing of {batch} came out that fits it."
        )
    name = batch.form.name.lower()
    words = f"{batch}, {batch.left} × {name}, {boards.stands(batch, today)}"
    warning = "" if batch.at_hand else f"All of {batch} is in kilns in other finishes."
    return Place(words, batch, warning=warning)


def _line_now(promise: Commitment, lines: list[FiringLine]) -> FiringLine | None:
    """Return the line that the piece is in: the one named, or where its batch went since.

    A bisque that has been unloaded is no place any more, where the batch tells how it goes on.
    """
    own = promise.firing_line
    if own is not None and not own.firing.is_called_off and not _is_past(own):
        return own
    fitting = [line for line in lines if promise.fits_line(line) and not _is_past(line)]
    still_in = [line for line in fitting if line.firing.is_open]
    return next(iter([*still_in, *fitting]), None)


def _is_past(line: FiringLine) -> bool:
    """Whether a line tells no more where its pieces are, or none of them came out."""
    if not line.firing.is_unloaded:
        return False
    return (line.firing.is_bisque and line.batch_id is not None) or line.lost == line.loaded


def _in_line(line: FiringLine, today: datetime.date) -> Place:
    firing = line.firing
    if firing.is_unloaded:
        count = f"{line.firsts} firsts, {line.seconds} seconds"
        words = f"{firing} is unloaded: {count} of {line.name}"
        return Place(words, line.batch, firing, is_out=not firing.is_bisque)
    near = 0 <= (firing.fired_on - today).days < A_WEEK
    day = dates.weekday(firing.fired_on) if near else dates.short_day(firing.fired_on)
    return Place(f"{firing}: {line.loaded} × {line.name}, on {day}", line.batch, firing)


def _warned(
    promise: Commitment, place: Place, in_batch: Counter[int], in_line: Counter[int]
) -> Place:
    """Return a place with a word where more is promised from it than it has."""
    line, batch = promise.firing_line, place.batch
    if place.warning or place.is_out:
        return place
    warning = ""
    if line is not None and line.firing.is_open and in_line[line.pk] > line.loaded:
        warning = f"{in_line[line.pk]} promises count on the {line.loaded} in {line.firing}."
    elif batch is not None and in_batch[batch.pk] > batch.left:
        warning = f"{in_batch[batch.pk]} promises count on the {batch.left} left of {batch}."
    return Place(place.words, place.batch, place.firing, place.is_out, warning)


def offered(promise: Commitment, *, today: datetime.date) -> list[Offered]:
    """Return the batches and open lines in which a promise could be made (four statements)."""
    if promise.shape is None:
        return []
    counts = Commitment.objects.filter(state=Commitment.State.MAKING).exclude(pk=promise.pk)
    in_batch = Counter(counts.exclude(batch=None).values_list("batch_id", flat=True))
    in_line = Counter(counts.exclude(firing_line=None).values_list("firing_line_id", flat=True))
    found = []
    for batch in Batch.objects.on_the_way().filter(form=promise.shape).select_related("form"):
        told = f"{batch}: {batch.left} left, {boards.stands(batch, today)}"
        found.append(Offered(f"batch:{batch.pk}", told + _promised(in_batch[batch.pk])))
    lines = FiringLine.objects.to_unload().filter(
        Q(form=promise.shape) | Q(ware__form=promise.shape)
    )
    for line in lines.named().order_by("firing__number", "pk"):
        if promise.fits_line(line):
            told = _in_line(line, today).words
            found.append(Offered(f"line:{line.pk}", told + _promised(in_line[line.pk])))
    return found


def _promised(count: int) -> str:
    return f" ({count} promised)" if count else ""


def from_batch(batch: Batch) -> tuple[list[Commitment], list[Commitment]]:
    """Return the promises in the making in a batch, and the open ones that it could also be for.

    One statement. The others are those of its form that are in the making nowhere yet.
    """
    promises = Commitment.objects.without_a_piece().named().order_by("due_on", "number")
    fitting = [each for each in promises if each.batch_id == batch.pk or each.fits_batch(batch)]
    making = Commitment.State.MAKING
    there = [each for each in fitting if each.state == making and each.batch_id == batch.pk]
    return there, [each for each in fitting if each.state == Commitment.State.OWED]
