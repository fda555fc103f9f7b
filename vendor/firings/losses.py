"""What was lost over many firings, by form and cause (reads only, like `queries`)."""

import datetime
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from vendor.firings.models import FiringLine, Kiln, Loss
from vendor.house.money import MILLION, half_up
from vendor.ware.models import Form


@dataclass(slots=True)
class LossRow:
    """What one form lost over many firings; `causes` are pieces by cause."""

    form: Form
    loaded: int = 0
    seconds: int = 0
    lost: int = 0
    causes: Counter[str] = field(default_factory=Counter)

    @property
    def lost_ppm(self) -> int:
        """The lost share of what went in, in parts per million, rounded half up."""
        return _share(self.lost, self.loaded)

    @property
    def seconds_ppm(self) -> int:
        """The share of seconds in what went in, in parts per million, rounded half up."""
        return _share(self.seconds, self.loaded)

    @property
    def why(self) -> str:
        """The causes in words, the commonest first."""
        return causes_in_words(self.causes)


def loss_rows(
    *, kind: str = "", kiln: Kiln | None = None, since: datetime.date | None = None
) -> list[LossRow]:
    """Return by form what unloaded firings lost and why (two statements), most lost first."""
    lines = FiringLine.objects.filter(firing__unloaded_at__isnull=False)
    if kind:
        lines = lines.filter(firing__kind=kind)
    if kiln is not None:
        lines = lines.filter(firing__kiln=kiln)
    if since is not None:
        lines = lines.filter(firing__fired_on__gte=since)
    found: dict[int, LossRow] = {}
    of_line: dict[int, LossRow] = {}
    for line in lines.select_related("ware__form", "form"):
        row = found.setdefault(line.shape.pk, LossRow(line.shape))
        row.loaded += line.loaded
        row.seconds += line.seconds or 0
        row.lost += line.lost or 0
        of_line[line.pk] = row
    for line_id, cause, pieces in Loss.objects.filter(line__in=lines.order_by()).values_list(
        "line_id", "cause", "quantity"
    ):
        of_line[line_id].causes[cause] += pieces
    return sorted(found.values(), key=lambda row: (-row.lost_ppm, row.form.name))


def causes_of(rows: Iterable[LossRow]) -> str:
    """Return the causes over many rows in words, the commonest first (no statement)."""
    return causes_in_words(sum((row.causes for row in rows), Counter()))


def causes_in_words(causes: Counter[str]) -> str:
    """Say causes as “2 cracked, 1 glaze ran”, the commonest first."""
    ordered = sorted(causes.items(), key=lambda item: (-item[1], item[0]))
    return ", ".join(f"{pieces} {Loss.Cause(cause).label.lower()}" for cause, pieces in ordered)


def _share(part: int, whole: int) -> int:
    """Return a part of a whole in parts per million, rounded half up; 0 of nothing is 0."""
    return half_up(part * MILLION, whole) if whole else 0
