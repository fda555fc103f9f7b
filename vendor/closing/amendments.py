"""Corrections of statements, in words: what was entered, and beside which statement it shows.

Named reads in a fixed number of statements. Nothing here writes.
"""

import datetime
from dataclasses import dataclass

from django.db.models import QuerySet

from vendor.closing.models import Amendment, Closing
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Weekend
from vendor.house import clock
from vendor.house.models import Studio
from vendor.house.written import money
from vendor.ledger.posting import piece


@dataclass(frozen=True, slots=True)
class Amended:
    """One correction, and what it changed in words (empty where it only says something)."""

    made: Amendment
    changed: tuple[str, ...]

    @property
    def words(self) -> str:
        """What it changed, in one line."""
        return ", ".join(self.changed)


def amended(closing: Closing, studio: Studio) -> list[Amended]:
    """Return what corrects a statement, in the order in which it was entered (three statements)."""
    return [_told(each, studio) for each in _all().filter(closing=closing)]


def entered_in(weekend: Weekend, studio: Studio, *, after: datetime.date | None) -> list[Amended]:
    """Return what was entered in a weekend's stretch to correct earlier ones (three statements).

    `after` is the last closed day before it. The other end of `amended`, so that both show it.
    """
    made = _all().filter(
        closing__weekend__fair_id=weekend.fair_id, closing__last_day__lt=weekend.first_day
    )
    return [
        _told(each, studio)
        for each in made
        if (day := clock.day_of(each.made_at, studio)) <= weekend.last_day
        and (after is None or day > after)
    ]


def _all() -> QuerySet[Amendment]:
    rows = Amendment.objects.select_related("closing__weekend__fair", "made_by", "entry")
    return rows.prefetch_related("entry__movements__ware__form", "entry__movements__ware__finish")


def _told(made: Amendment, studio: Studio) -> Amended:
    changed = []
    if made.cash:
        box = f"cash box {made.till}" if made.till != FIRST_TILL else "the till"
        much = "more" if made.cash > 0 else "less"
        changed.append(f"{money(abs(made.cash), studio)} {much} in {box} than stated")
    stall = made.closing.weekend.fair.stall_id
    for move in made.entry.movements.all() if made.entry else ():
        sign = "+" if move.target_id == stall else "−"
        changed.append(f"{sign}{move.quantity} {piece(move.ware, move.grade)}")
    return Amended(made, tuple(changed))
