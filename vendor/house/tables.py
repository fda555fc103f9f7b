"""The tables of lists: a base table and the columns that every part's tables are made of.

    class ShelfTable(HouseTable):
        thing, things = "ware", "ware"

        ware = NameColumn("Ware", accessor="name", why="where", linkify=("ledger:ware", [A("pk")]))
        on_hand = CountColumn("On hand", total=True)
        price = MoneyColumn("Price")

Cells show what people read; `value` gives spreadsheets the number, day or text itself. A column
with `total=True` adds up all rows of the list, not only those of the page, in one query for all
columns. Rows are model instances, dictionaries or frozen dataclasses.
"""

from decimal import Decimal
from functools import cached_property
from typing import Any

import django_tables2 as tables
from django.db.models import Sum
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django_tables2 import A
from django_tables2.data import TableListData
from django_tables2.utils import OrderByTuple

from vendor.house import written
from vendor.house.models import Studio

__all__ = [
    "A",
    "Column",
    "CountColumn",
    "DayColumn",
    "HouseTable",
    "LengthColumn",
    "MomentColumn",
    "MoneyColumn",
    "NameColumn",
    "ShareColumn",
    "WeightColumn",
]


class HouseTable(tables.Table):  # type: ignore[misc]
    """A table in the look of the house. `listing.lay_out` makes it and gives it its studio."""

    thing, things = "row", "rows"
    """What a row is, for “12 rows”."""
    caption = ""
    css_class = "rows"
    """“rows”: each row becomes a small card on a phone. “wide”: stays a table and scrolls."""
    studio: Studio

    @cached_property
    def totals(self) -> dict[str, Any]:
        """The sums of all columns that are added up, over every row of the list."""
        summed = {name: col.accessor for name, col in self.columns.items() if _adds_up(col)}
        if not summed:
            return {}
        if isinstance(self.data, TableListData):
            return {name: _sum(self.data, accessor) for name, accessor in summed.items()}
        sums = {f"sum_{name}": Sum("__".join(acc.bits)) for name, acc in summed.items()}
        found = self.data.data.order_by().aggregate(**sums)
        return {name: found[f"sum_{name}"] or 0 for name in summed}

    def count_in_words(self) -> str:
        """Return how many rows the whole list has: “146 pieces”."""
        count = len(self.data)
        return f"{count:,} {self.thing if count == 1 else self.things}"


def _adds_up(column: Any) -> bool:
    return bool(getattr(column.column, "total", False))


def _sum(rows: Any, accessor: Any) -> Any:
    values = (accessor.resolve(row) for row in rows)
    return sum(value for value in values if value is not None)


class ListRows(TableListData):  # type: ignore[misc]
    """Rows that are in memory: sorts by words whatever their case, with nothing at the end."""

    data: list[Any]

    def order_by(self, aliases: Any) -> None:
        """Sort by the columns named, the first one mattering most; equal rows keep their order."""
        for alias in reversed(aliases):
            column = self.table.columns[alias.lstrip("-")]
            for accessor in reversed(column.column.order_by or OrderByTuple((column.accessor,))):
                descending = alias.startswith("-") != accessor.startswith("-")
                self._sort(A(accessor.bare), descending)

    def _sort(self, accessor: Any, descending: bool) -> None:
        def there(row: Any) -> bool:
            return accessor.resolve(row, quiet=True) not in (None, "")

        def rank(row: Any) -> tuple[str, Any]:
            value = accessor.resolve(row, quiet=True)
            if isinstance(value, (int, float, Decimal)):
                return "number", value
            return type(value).__name__, _folded(value)

        known = sorted((row for row in self.data if there(row)), key=rank, reverse=descending)
        self.data = [*known, *(row for row in self.data if not there(row))]


def _folded(value: Any) -> Any:
    """Return what to sort by: text by its letters, other things as they are, else as text."""
    if isinstance(value, str):
        return value.casefold()
    return value if hasattr(value, "__lt__") and not isinstance(value, dict) else str(value)


class Column(tables.Column):  # type: ignore[misc]
    """A column of words."""

    row_header = False

    def value(self, value: Any, table: HouseTable) -> Any:
        """Return the words themselves."""
        return value if isinstance(value, (int, float, Decimal)) else str(value)


class NameColumn(Column):
    """What the row is: its header, with an optional link and an optional line under it.

    `why` names what holds the line under the name (an accessor); empty lines are left out.
    """

    row_header = True
    link: Any

    def __init__(self, *args: Any, why: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Taken over from the base class, so that the line below stays outside of the link.
        self._name_link, self.link = self.link, None
        self._why = A(why) if why else None

    def render(self, value: Any, record: Any, bound_column: Any) -> str | SafeString:
        """Show the name, linked, with its line."""
        name = value
        if self._name_link is not None:
            name = self._name_link(value, value=value, record=record, bound_column=bound_column)
        line = self._why.resolve(record, quiet=True) if self._why else ""
        return format_html('{} <span class="why">{}</span>', name, line) if line else name


class _FigureColumn(Column):
    """A column of figures, to the right, which may be added up."""

    def __init__(self, *args: Any, total: bool = False, **kwargs: Any) -> None:
        self.total = total
        if total:
            kwargs.setdefault("footer", self._sum)
        kwargs.setdefault("attrs", {"cell": {"class": "n"}})
        super().__init__(*args, **kwargs)

    def unit(self, studio: Studio) -> str:
        """Return the unit of the column's numbers in a spreadsheet, or nothing."""
        return ""

    def _sum(self, bound_column: Any, table: HouseTable) -> str:
        return self.figure(table.totals[bound_column.name], table.studio)

    def figure(self, value: Any, studio: Studio) -> str:
        """Return a total as people read it."""
        return f"{value:,}"

    def render(self, value: Any, table: HouseTable) -> str:
        """Return a cell as people read it."""
        return self.figure(value, table.studio)

    def value(self, value: Any, table: HouseTable) -> Any:
        """Return the number itself."""
        return value


class CountColumn(_FigureColumn):
    """Whole pieces, or any other count."""


class MoneyColumn(_FigureColumn):
    """Minor units; cells without the currency's sign, the total with it."""

    def unit(self, studio: Studio) -> str:
        """Return the unit of the numbers in a spreadsheet."""
        return studio.currency

    def figure(self, value: int, studio: Studio) -> str:
        """Return a total with the currency's sign."""
        return written.money(value, studio)

    def render(self, value: int, table: HouseTable) -> str:
        """Return the amount without the currency's sign."""
        return written.bare_money(value, table.studio)

    def value(self, value: int, table: HouseTable) -> Decimal:
        """Return the amount in whole units, exactly."""
        return written.major(value, table.studio)


class LengthColumn(_FigureColumn):
    """Millimetres, shown in the studio's units; millimetres in a spreadsheet."""

    def unit(self, studio: Studio) -> str:
        """Return the unit of the numbers in a spreadsheet."""
        return "mm"

    def figure(self, value: int, studio: Studio) -> str:
        """Return the length in the studio's units."""
        return written.length(value, studio)


class WeightColumn(_FigureColumn):
    """Grams, shown in the studio's units; grams in a spreadsheet."""

    def unit(self, studio: Studio) -> str:
        """Return the unit of the numbers in a spreadsheet."""
        return "g"

    def figure(self, value: int, studio: Studio) -> str:
        """Return the weight in the studio's units."""
        return written.weight(value, studio)


class ShareColumn(_FigureColumn):
    """A share in parts per million, shown in per cent; a fraction of one in a spreadsheet."""

    def figure(self, value: int, studio: Studio) -> str:
        """Return the share in per cent, to one decimal."""
        return f"{Decimal(value).scaleb(-4):.1f} %"

    def value(self, value: int, table: HouseTable) -> Decimal:
        """Return the fraction of one."""
        return Decimal(value).scaleb(-6)


class DayColumn(Column):
    """A day."""

    attrs = {"cell": {"class": "d"}}

    def render(self, value: Any, table: HouseTable) -> str:
        """Return the day as the studio writes it."""
        return written.day(value, table.studio)

    def value(self, value: Any, table: HouseTable) -> Any:
        """Return the day itself."""
        return value


class MomentColumn(Column):
    """An aware moment, shown on the studio's own clock."""

    attrs = {"cell": {"class": "d"}}

    def render(self, value: Any, table: HouseTable) -> str:
        """Return the day and time as the studio writes them."""
        return written.moment(value, table.studio)

    def value(self, value: Any, table: HouseTable) -> Any:
        """Return the moment itself."""
        return value


def mark(text: str) -> SafeString:
    """Return a short mark (“held”, “second”) as it looks in a cell."""
    return format_html('<span class="mark">{}</span>', text)
