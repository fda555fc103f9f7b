"""The list of what to bring: one column of sales for each weekend so far, then the advice."""

from collections.abc import Iterable, Sequence
from math import floor, sqrt
from typing import Any

from django.urls import reverse
from django.utils.html import format_html

from vendor.fairs.models import Weekend
from vendor.house.tables import Column, CountColumn, DayColumn, HouseTable
from vendor.restock import telling
from vendor.restock.plans import Row
from vendor.ware.columns import WareColumn

MOST_WEEKENDS = 5
"""Weekends that the list has a column for: the latest."""
TENTH = 1.2815515655
"""Standard deviations above the mean that one in ten of a normal distribution lies beyond."""


class SoldColumn(CountColumn):
    """Pieces sold in one weekend, with the moment at which the ware sold out."""

    def __init__(self, number: int) -> None:
        super().__init__(f"Sold {number}", accessor=f"sold__{number}", total=True)
        self.number = number

    def render(self, value: int, table: HouseTable, record: Any = None) -> str:
        """Show the count, and when it was gone."""
        gone = record.stints[self.number].sold_out_at
        if gone is None:
            return self.figure(value, table.studio)
        told = telling.short_when(gone, table.studio)
        return format_html(
            '{} <span class="why">gone {}</span>', self.figure(value, table.studio), told
        )


class FreeColumn(CountColumn):
    """Free pieces on the shelf, with those that are held."""

    def render(self, value: int, table: HouseTable, record: Any = None) -> str:
        """Show the count, and how many more are promised."""
        held = record.standing.held
        if not held:
            return self.figure(value, table.studio)
        return format_html(
            '{} <span class="why">{}{}held</span>',
            self.figure(value, table.studio),
            held,
            telling.NO_BREAK,
        )


class ExpectColumn(CountColumn):
    """What is asked for in eight weekends of ten; the mean in a spreadsheet."""

    def render(self, value: float, table: HouseTable, record: Any = None) -> str:
        """Show the stretch."""
        return stretch(record.low, record.high)

    def value(self, value: float, table: HouseTable) -> float:
        """Return the pieces expected, to one decimal."""
        return round(value, 1)

    def _sum(self, bound_column: Any, table: HouseTable) -> str:
        return stretch(*together(table.data))


class BringColumn(CountColumn):
    """The pieces to bring, with why so many."""

    def render(self, value: int, table: HouseTable, record: Any = None) -> str:
        """Show the count and its reason."""
        return format_html(
            '<b>{}</b> <span class="why">{}</span>',
            self.figure(value, table.studio),
            record.why_so_many,
        )


def stretch(low: int, high: int) -> str:
    """Return a stretch of counts: “8–15”."""
    return str(low) if low == high else f"{low}–{high}"


def together(rows: Iterable[Row]) -> tuple[int, int]:
    """Return what all rows together are asked for in eight weekends of ten.

    Ware are asked for independently once their rates are known, so that variances add up; of many
    ware the sum is near a normal distribution.
    """
    kept = list(rows)
    mean, spread = sum(row.expected for row in kept), sqrt(sum(row.variance for row in kept))
    low, high = mean - TENTH * spread, mean + TENTH * spread
    return max(floor(low + 0.5), 0), floor(high + 0.5)


class RestockTable(HouseTable):
    """What to bring, by ware; columns of sales are put in by `restock_table`."""

    thing, things = "ware", "ware"
    caption = "Ware by ware"

    name = WareColumn("Ware", piece="ware", why="why")
    there = CountColumn("On the stall", accessor="standing__there", total=True)
    free = FreeColumn("Free", accessor="standing__free", total=True)
    expected = ExpectColumn("Expect", total=True)
    bring = BringColumn("Bring", total=True, attrs={"cell": {"class": "n d"}})
    short = CountColumn("Short", total=True)
    code = Column("Code", accessor="ware__code", visible=False, orderable=False)
    low = CountColumn("Expect at least", visible=False, orderable=False)
    high = CountColumn("Expect at most", visible=False, orderable=False)
    wanted = CountColumn("Wanted", visible=False, orderable=False)
    held = CountColumn("Held", accessor="standing__held", visible=False, orderable=False)
    why = Column("Why", visible=False, orderable=False)


def restock_table(past: Sequence[Weekend], asked: str) -> type[RestockTable]:
    """Return the list's table with a column for each of the latest weekends so far.

    `asked` is how the plan was asked for, for the address of each ware's own page.
    """

    def evidence(record: Row) -> str:
        return f"{reverse('restock:ware', args=[record.ware.pk])}?{asked}"

    columns: dict[str, Column] = {
        f"sold_{each.number}": SoldColumn(each.number) for each in past[-MOST_WEEKENDS:]
    }
    columns["name"] = WareColumn("Ware", piece="ware", why="why", linkify=evidence)
    sequence = (
        "name",
        *(name for name in columns if name != "name"),
        "there",
        "free",
        "expected",
        "bring",
        "short",
        "...",
    )
    meta = type("Meta", (), {"sequence": sequence})
    return type("RestockByWeekendTable", (RestockTable,), {**columns, "Meta": meta})


class MakeTable(HouseTable):
    """What to glaze, fire and throw, by ware."""

    thing, things = "ware", "ware"
    caption = "Ware by ware"

    name = WareColumn("Ware", piece="ware", why="how")
    form = Column("Form", accessor="ware__form__name", visible=False)
    first_by = DayColumn(verbose_name="First by")
    short = CountColumn("Short", total=True)
    kiln = CountColumn("In the kiln", total=True)
    glaze = CountColumn("Glaze and fire", total=True)
    bisque = CountColumn("Bisque fire", total=True)
    throw = CountColumn("Throw", total=True)
    late = CountColumn("Too late", total=True)
    code = Column("Code", accessor="ware__code", visible=False, orderable=False)
    how = Column("How", visible=False, orderable=False)
