"""What to glaze, fire and throw for the rest of a fair: what is read, put to `making`.

Nine statements on top of a plan's, whatever there is on the boards.
"""

import datetime
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from vendor.fairs.models import Weekend
from vendor.firings import boards
from vendor.firings.boards import OnTheWay
from vendor.firings.models import Stage
from vendor.house import written
from vendor.house.models import Studio
from vendor.restock.making import Need, Pace, Source, Task, Until, Way, tasks
from vendor.restock.plans import Plan, Row
from vendor.restock.quantities import quantity_for
from vendor.supporters.models import Commitment
from vendor.ware.models import Ware

ONE_DAY = datetime.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ToMake:
    """One ware that the fair will run short of: pieces in all, and how they can still come."""

    ware: Ware
    short: int
    tasks: Sequence[Task]
    how: str

    @property
    def name(self) -> str:
        """The ware's name."""
        return self.ware.name

    @property
    def kiln(self) -> int:
        """Pieces that are in a kiln already."""
        return self._pieces(Way.KILN)

    @property
    def glaze(self) -> int:
        """Pieces to glaze and fire."""
        return self._pieces(Way.GLAZE)

    @property
    def bisque(self) -> int:
        """Pieces to bisque fire."""
        return self._pieces(Way.BISQUE)

    @property
    def throw(self) -> int:
        """Pieces to throw."""
        return self._pieces(Way.THROW)

    @property
    def late(self) -> int:
        """Pieces that can't be had in time."""
        return self._pieces(Way.LATE)

    @property
    def first_by(self) -> datetime.date | None:
        """The first day by which something is to be done."""
        return min((task.by for task in self.tasks if task.by is not None), default=None)

    def _pieces(self, way: Way) -> int:
        return sum(task.pieces for task in self.tasks if task.way is way)


def to_make(
    plan: Plan, weekends: Iterable[Weekend], *, today: datetime.date, studio: Studio
) -> tuple[list[ToMake], Pace]:
    """Return what the fair will run short of until its end, most urgent first, and the pace.

    Short of a weekend is what stall, shelf and the weekends before leave open in `plan.level`
    seasons of a hundred, by what is known today. Pieces promised to supporters count for nobody.
    """
    ahead = [plan.weekend, *_later(plan, weekends)]
    untils = [Until(each.number, _needed_on(each, plan)) for each in ahead]
    days = boards.measured()
    pace = Pace(boards.days_in_kiln(), days.to_go(Stage.BISQUE), days.to_go(Stage.THROWN))
    sources = _sources(boards.on_the_way(today, days), pace, today)
    needs = [_need(row, plan, ahead) for row in plan.rows if _is_made(row)]
    found = tasks(needs, weekends=untils, sources=sources, pace=pace, today=today)
    by_ware = {row.ware.pk: row.ware for row in plan.rows}
    rows = [
        ToMake(
            by_ware[ware], sum(task.pieces for task in each), each,
            in_words(each, studio, plan.weekend.number),
        )
        for ware, each in found.items()
    ]  # fmt: skip
    return sorted(rows, key=lambda row: (row.first_by or datetime.date.max, row.name)), pace


def _needed_on(weekend: Weekend, plan: Plan) -> datetime.date:
    """Return the day on which pieces for a weekend have to be there to be packed."""
    is_on = plan.is_on and weekend.pk == plan.weekend.pk
    return (weekend.last_day if is_on else weekend.first_day) - ONE_DAY


def _later(plan: Plan, weekends: Iterable[Weekend]) -> list[Weekend]:
    return [
        each
        for each in weekends
        if each.fair_id == plan.fair.pk and each.first_day > plan.weekend.last_day
    ]


def _is_made(row: Row) -> bool:
    return not (row.ware.retired or row.ware.form.retired or row.ware.finish.retired)


def _need(row: Row, plan: Plan, ahead: Sequence[Weekend]) -> Need:
    """Return what each weekend will be short of: what is asked for up to it, less what there is."""
    stock = row.standing.there + row.standing.free
    exposure, open_so_far, pieces = 0.0, 0, []
    for number, weekend in enumerate(ahead):
        exposure += weekend.crowd_percent / 100 * (plan.to_come if number == 0 else 1)
        asked = quantity_for(row.belief.predict(exposure), plan.level / 100)
        open_now = max(asked - stock, open_so_far)
        pieces.append(open_now - open_so_far)
        open_so_far = open_now
    return Need(row.ware.pk, row.ware.form_id, row.price, pieces)


def _sources(found: Iterable[OnTheWay], pace: Pace, today: datetime.date) -> list[Source]:
    """Return what is on the way less what is promised of it (two statements)."""
    making = Commitment.objects.filter(state=Commitment.State.MAKING)
    of_line = Counter(making.exclude(firing_line=None).values_list("firing_line_id", flat=True))
    of_batch = Counter(
        making.filter(firing_line=None).exclude(batch=None).values_list("batch__number", flat=True)
    )
    sources = []
    # At hand first: what is promised of a batch and not at hand any more is in its kiln.
    for each in sorted(found, key=lambda row: row.line_id is not None):
        pieces = each.pieces
        for promised, key in ((of_line, each.line_id), (of_batch, each.batch)):
            if key is not None:
                taken = min(promised[key], pieces)
                promised[key] -= taken
                pieces -= taken
        sources.append(_source(each, pieces, pace, today))
    return sources


def _source(each: OnTheWay, pieces: int, pace: Pace, today: datetime.date) -> Source:
    """Return pieces on the way with the day by which they can be out."""
    if each.ware is not None:
        out = _days_on(each.since, pace.kiln)
        late = out is not None and out < today
        return Source(Way.KILN, pieces, today if late else out, ware=each.ware.pk)
    if each.stage >= Stage.BISQUE:
        return Source(Way.GLAZE, pieces, _days_on(today, pace.kiln), form=each.form.pk)
    # A raw piece goes on at the studio's pace, but through both kilns from today at the earliest.
    soonest = _days_on(today, pace.kiln, pace.bisque)
    usual = _days_on(each.since, each.to_go)
    known = [day for day in (soonest, usual) if day is not None]
    return Source(Way.BISQUE, pieces, max(known, default=None), form=each.form.pk)


def _days_on(day: datetime.date, *parts: int | None) -> datetime.date | None:
    """Return the day so many days on; None where one of the parts is not measured."""
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return None
    return day + datetime.timedelta(days=sum(known))


def in_words(found: Sequence[Task], studio: Studio, coming: int) -> str:
    """Say how a shortage ends: “glaze and fire 3 by Dec 4; throw 5 by Dec 9, for weekend 5”."""
    said = []
    late = [task for task in found if task.way is Way.LATE]
    for task in found:
        weekend = "" if task.weekend == coming else f", for weekend {task.weekend}"
        by = f" by {written.days(task.by, task.by, studio)}" if task.by is not None else ""
        if task.way is Way.KILN:
            said.append(f"{task.pieces} in the kiln{weekend}")
        elif task.way is not Way.LATE:
            said.append(f"{task.way.value} {task.pieces}{by}{weekend}")
    if late:
        weekends = ", ".join(str(task.weekend) for task in late)
        name = "weekend" if len(late) == 1 else "weekends"
        said.append(f"{sum(task.pieces for task in late)} too late for {name} {weekends}")
    return "; ".join(said)


def totals(rows: Sequence[ToMake]) -> list[tuple[str, int]]:
    """Return the pieces of all rows by way, in words, in the order of the ways (no statement)."""
    found: Counter[Way] = Counter()
    for row in rows:
        for task in row.tasks:
            found[task.way] += task.pieces
    return [(way.value.capitalize(), found[way]) for way in Way if rows]
