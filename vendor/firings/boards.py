"""Reads of what is on the way: typed rows in a fixed number of statements."""

import datetime
import math
import statistics
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from vendor.firings import durations
from vendor.firings.durations import OUT, Durations, Measured
from vendor.firings.models import Batch, BatchStep, Firing, FiringLine, Stage
from vendor.house import clock, dates
from vendor.house.studio import the_studio
from vendor.ware.models import Form, Ware

A_WEEK = 7
What = BatchStep.What


@dataclass(frozen=True, slots=True)
class BatchRow:
    """One batch in a list; `days` is how long it has stood at its stage, `where` its kilns."""

    batch: Batch
    days: int | None
    where: str

    @property
    def name(self) -> str:
        """What it is called: “Batch 12”."""
        return str(self.batch)

    @property
    def what(self) -> str:
        """What was begun, and which kiln it is in: “24 thrown · 12 in Firing 9”."""
        begun = f"{self.batch.begun} thrown"
        return f"{begun} · {self.where}" if self.where else begun


@dataclass(frozen=True, slots=True)
class Ready:
    """So many pieces of a batch that a firing can take, and how the batch stands in words."""

    batch: Batch
    pieces: int
    stands: str


@dataclass(frozen=True, slots=True)
class OnTheWay:
    """Pieces that will be ware: of a form, and of which ware where that is known by their kiln.

    `days` is how long they have been at their stage (since they were loaded, where they are in a
    kiln), `to_go` the measured days from reaching it until they are out; None where not measured.
    """

    form: Form
    ware: Ware | None
    pieces: int
    stage: int
    since: datetime.date
    days: int
    to_go: int | None
    batch: int | None
    firing: int | None
    line_id: int | None = None


@dataclass(frozen=True, slots=True)
class Stretch:
    """From which stage to which, and what was measured; None where no batch tells."""

    name: str
    measured: Measured | None


def batch_rows(*, over: bool, today: datetime.date) -> list[BatchRow]:
    """Return the batches on the way by stage, longest there first; or those that are over."""
    found = Batch.objects.select_related("form").prefetch_related(_open_lines())
    if over:
        return [
            BatchRow(each, None, "") for each in found.exclude(ended_at=None).order_by("-number")
        ]
    return [
        BatchRow(each, (today - each.since).days, where_of(each))
        for each in found.on_the_way().order_by("stage", "since", "number")
    ]


def _open_lines() -> "Prefetch[str]":
    return Prefetch("lines", FiringLine.objects.to_unload().named())


def where_of(batch: Batch) -> str:
    """Say in which kilns pieces of a batch are, its open lines being its only ones at hand."""
    in_kilns: Counter[str] = Counter()
    for line in batch.lines.all():
        in_kilns[str(line.firing)] += line.loaded
    return ", ".join(f"{pieces} in {firing}" for firing, pieces in in_kilns.items())


def by_stage(rows: Iterable[BatchRow]) -> list[tuple[str, int]]:
    """Return the pieces at hand by stage, and those in a kiln (no statement)."""
    counts: Counter[int] = Counter()
    for row in rows:
        counts[row.batch.stage] += row.batch.at_hand
        counts[OUT] += row.batch.in_kiln
    return [*((stage.label, counts[stage]) for stage in Stage), ("In a kiln", counts[OUT])]


def stands(batch: Batch, today: datetime.date) -> str:
    """Say how a batch stands: “dry since Tuesday”, “bisque since 4 November”."""
    ago = (today - batch.since).days
    if ago == 0:
        day = "today"
    elif ago < A_WEEK:
        day = dates.weekday(batch.since)
    else:
        day = dates.short_day(batch.since)
    return f"{batch.state.lower()} since {day}"


def ready(*, bisque: bool, today: datetime.date, beside: Counter[int] | None = None) -> list[Ready]:
    """Return the batches that a firing can take, the furthest first (one statement).

    `beside` are pieces by batch that the firing carries already: they are its own to change.
    """
    carried = beside or Counter[int]()
    found = []
    for batch in Batch.objects.on_the_way().select_related("form").order_by("-stage", "number"):
        spare = batch.to_bisque if bisque else batch.to_glaze
        if spare + carried[batch.pk]:
            found.append(Ready(batch, spare + carried[batch.pk], stands(batch, today)))
    return found


def history(batch: Batch) -> list[BatchStep]:
    """Return the steps of a batch, the latest first (one statement)."""
    steps = batch.steps.select_related("made_by", "firing", "undoes__firing", "undone_by")
    return list(steps.order_by("-pk"))


def to_take_back(steps: Sequence[BatchStep]) -> BatchStep | None:
    """Return the step that can be taken back, of a history with the latest first; else None."""
    for step in steps:
        if step.what != What.TAKEN_BACK and getattr(step, "undone_by", None) is None:
            return None if step.what in (What.STARTED, What.UNLOADED) else step
    return None


def lines_of(batch: Batch) -> list[FiringLine]:
    """Return the firing lines that pieces of a batch went into (one statement)."""
    return list(batch.lines.named().order_by("firing__number", "pk"))


def measured() -> Durations:
    """Return how many days the studio's own batches take between stages (two statements).

    The end of a batch is the day on which its last piece came out of the kiln as ware.
    """
    whole = Batch.objects.filter(ended_at__isnull=False, called_off="", out__gt=0)
    ended = set(whole.values_list("pk", flat=True))
    reached: dict[int, dict[int, datetime.date]] = defaultdict(dict)
    steps = BatchStep.objects.filter(undone_by__isnull=True).exclude(what=What.TAKEN_BACK)
    for step in steps.order_by("pk"):
        days = reached[step.batch_id]
        if step.what == What.STARTED or step.stage > step.was:
            days.setdefault(step.stage, step.on)
        if step.out and step.batch_id in ended:
            days[OUT] = step.on
    return durations.measure(reached.values())


def stretches(found: Durations) -> list[Stretch]:
    """Return what was measured from stage to stage, and from each stage to the end."""
    names = {stage.value: stage.label for stage in Stage} | {OUT: "out of the glaze kiln"}
    pairs = [(stage, stage + 1) for stage in Stage] + [(Stage.THROWN, OUT), (Stage.BISQUE, OUT)]
    return [
        Stretch(f"{names[first]} → {names[then].lower()}", found.between(first, then))
        for first, then in pairs
    ]


def on_the_way(today: datetime.date, days: Durations | None = None) -> list[OnTheWay]:
    """Return all pieces that will be ware, the furthest first (two statements, four with `days`).

    Pieces of batches stand by their form; what is in a glaze kiln by its ware, whether it came
    from a batch or not. Bisque without a batch is of a form, and has nobody to follow it further.
    `days` are the `measured` ones, where they are at hand.
    """
    known = measured() if days is None else days
    found = [
        OnTheWay(
            batch.form, None, pieces, stage, batch.since,
            (today - batch.since).days, known.to_go(stage), batch.number, None,
        )
        for batch in Batch.objects.on_the_way().select_related("form")
        for stage, pieces in _at_hand(batch)
        if pieces
    ]  # fmt: skip
    for line in FiringLine.objects.to_unload().named():
        stage = _stage_in_kiln(line)
        found.append(
            OnTheWay(
                line.shape, line.ware, line.loaded, stage, line.firing.fired_on,
                (today - line.firing.fired_on).days, known.to_go(stage),
                line.batch.number if line.batch else None, line.firing.number, line.pk,
            )
        )  # fmt: skip
    return sorted(found, key=lambda each: (-each.stage, each.since, each.form.name))


def _at_hand(batch: Batch) -> list[tuple[int, int]]:
    """Return the pieces of a batch at hand by stage: some may be bisque fired ahead of it."""
    if batch.stage >= Stage.BISQUE:
        return [(batch.stage, batch.at_hand)]
    return [(int(Stage.BISQUE), batch.to_glaze), (batch.stage, batch.to_bisque)]


def days_in_kiln() -> int | None:
    """Return how many days a firing takes from its day to its unloading, by all of them.

    The median, a half rounded up; None while none has been unloaded (one statement).
    """
    studio = the_studio()
    days = [
        (clock.day_of(unloaded_at, studio) - fired_on).days
        for fired_on, unloaded_at in Firing.objects.filter(unloaded_at__isnull=False)
        .order_by()
        .values_list("fired_on", "unloaded_at")
        if unloaded_at is not None
    ]
    return math.ceil(statistics.median(days)) if days else None


def _stage_in_kiln(line: FiringLine) -> int:
    """Return the stage of what is in a kiln: dry in a bisque firing, else glazed."""
    return int(Stage.DRY if line.firing.is_bisque else Stage.GLAZED)
