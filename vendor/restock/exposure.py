"""How long a ware could be bought: hours on the stall out of a weekend's open hours.

Pure functions over hours. Every hour is a float counted from one origin per weekend, by custom
midnight before its first day, so that the second day's ten o'clock is 34.0. What is *not* here:
sales, crowd factors and rates.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite


@dataclass(frozen=True, slots=True)
class OpenHours:
    """One selling day: the hours at which the stall opens and closes (hours, see the module)."""

    opens: float
    closes: float

    def __post_init__(self) -> None:
        if not (isfinite(self.opens) and isfinite(self.closes) and self.opens < self.closes):
            raise ValueError(f"A day opens before it closes: {self.opens}, {self.closes}.")


@dataclass(frozen=True, slots=True)
class Absence:
    """A ware is off the stall from the hour `gone` until the hour `back`, or for good (None).

    A sell-out is an absence from the hour of the last piece's sale. A ware that is first put out
    later is absent from the opening until that hour.
    """

    gone: float
    back: float | None = None

    def __post_init__(self) -> None:
        if not isfinite(self.gone) or (self.back is not None and not self.back >= self.gone):
            raise ValueError(f"Ware comes back after it is gone: {self.gone}, {self.back}.")


def open_hours(days: Sequence[OpenHours], *, until: float | None = None) -> float:
    """Add up the hours that a weekend is open in all, or up to the hour `until` while it runs.

    Refuses (ValueError) days that overlap.
    """
    return sum(end - start for start, end in _spans(days, until))


def hours_on_stall(
    days: Sequence[OpenHours], absences: Iterable[Absence] = (), *, until: float | None = None
) -> float:
    """Add up the open hours in which a ware was on the stall.

    Absences may come in any order, overlap, and reach into the night. Raises ValueError when days
    overlap. The share of the weekend is this over `open_hours(days)`, also while the
    weekend runs: what is still to come is not counted as watched.
    """
    return sum(end - start for start, end in spans_on_stall(days, absences, until=until))


def spans_on_stall(
    days: Sequence[OpenHours], absences: Iterable[Absence] = (), *, until: float | None = None
) -> list[tuple[float, float]]:
    """List the open spans (from hour, to hour) in which a ware was on the stall, in order.

    The same as `hours_on_stall` tells, hour by hour.
    """
    gaps = _merged(absences)
    found = []
    for start, end in _spans(days, until):
        for gone, back in gaps:
            if start < gone < end:
                found.append((start, gone))
            if gone < end and back > start:
                start = min(back, end)
        if start < end:
            found.append((start, end))
    return found


def _spans(days: Sequence[OpenHours], until: float | None) -> list[tuple[float, float]]:
    """List the open spans in order, cut at `until`."""
    ordered = sorted(days, key=lambda day: day.opens)
    for earlier, later in pairwise(ordered):
        if later.opens < earlier.closes:
            raise ValueError(f"Selling days overlap: {earlier}, {later}.")
    limit = float("inf") if until is None else until
    return [(day.opens, min(day.closes, limit)) for day in ordered if day.opens < limit]


def _merged(absences: Iterable[Absence]) -> list[tuple[float, float]]:
    """Absences as spans that do not overlap, so that no hour is taken off twice."""
    merged: list[tuple[float, float]] = []
    for absence in sorted(absences, key=lambda each: each.gone):
        back = float("inf") if absence.back is None else absence.back
        if merged and absence.gone <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], back))
        else:
            merged.append((absence.gone, back))
    return merged
