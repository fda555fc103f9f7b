"""The tables of the reports: one column of pieces for each weekend of the fair."""

from collections.abc import Sequence

from vendor.fairs.models import Weekend
from vendor.house import dates
from vendor.house.tables import A, CountColumn, HouseTable, MoneyColumn, NameColumn


class SoldTable(HouseTable):
    """What sold, by ware and grade."""

    thing, things = "ware", "ware"
    caption = "What sold, by ware and weekend"
    css_class = "wide"

    name = NameColumn("Ware", linkify=("ledger:ware", [A("ware__pk")]))
    pieces = CountColumn("Pieces", accessor="sold__pieces", total=True)
    each = MoneyColumn("Each, net")
    net = MoneyColumn("Net", accessor="sold__net", total=True)
    tax = MoneyColumn("Tax", accessor="sold__tax", total=True)
    total = MoneyColumn("With tax", accessor="sold__total", total=True)


class WeekendTable(HouseTable):
    """The takings of each weekend."""

    thing, things = "weekend", "weekends"
    caption = "Takings by weekend"

    name = NameColumn("Weekend", accessor="days", why="standing")
    sales = CountColumn("Sales", total=True)
    pieces = CountColumn("Pieces", total=True)
    cash = MoneyColumn("Cash", total=True)
    card = MoneyColumn("Card", total=True)
    other = MoneyColumn("Other", total=True)
    net = MoneyColumn("Net", total=True)
    tax = MoneyColumn("Tax", total=True)
    total = MoneyColumn("With tax", total=True)


class WeekendTableWithDeposits(WeekendTable):
    """The takings of each weekend, where customers' deposits came or went."""

    deposits = MoneyColumn("Deposits held", total=True)
    kept = MoneyColumn("Deposits kept", total=True)


class AwayTable(HouseTable):
    """What sold away from the fairs."""

    thing, things = "ware", "ware"
    caption = "Sold early and online, whatever the fair"

    name = NameColumn("Ware", linkify=("ledger:ware", [A("ware__pk")]))
    early = CountColumn("Early", total=True)
    online = CountColumn("Online", total=True)
    pieces = CountColumn("Pieces", total=True)
    each = MoneyColumn("Each")
    total = MoneyColumn("Came to", accessor="total", total=True)


def sold_table(weekends: Sequence[Weekend]) -> type[SoldTable]:
    """Return the table of what sold with a column for each weekend, between name and sums."""
    columns = {
        f"weekend_{weekend.number}": CountColumn(
            dates.short_day(weekend.first_day),
            accessor=f"sold__by_weekend__{weekend.number}",
            total=True,
        )
        for weekend in weekends
    }
    sequence = ("name", *columns, "pieces", "each", "net", "tax", "total")
    meta = type("Meta", (), {"sequence": sequence})
    return type("SoldByWeekendTable", (SoldTable,), {**columns, "Meta": meta})
