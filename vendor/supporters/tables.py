"""The tables of the part's lists."""

from typing import Any

from vendor.house import dates
from vendor.house.tables import (
    A,
    Column,
    CountColumn,
    DayColumn,
    HouseTable,
    MoneyColumn,
    NameColumn,
)
from vendor.supporters.credit_values import month_of


class MonthColumn(Column):
    """A month."""

    def render(self, value: Any, table: HouseTable) -> str:
        """Return the month in words."""
        return dates.month(month_of(value))

    def value(self, value: Any, table: HouseTable) -> Any:
        """Return the first day of the month."""
        return month_of(value)


class SupporterTable(HouseTable):
    """Supporters with what they are owed."""

    thing, things = "supporter", "supporters"

    name = NameColumn(
        "Name", accessor="supporter__name", linkify=("supporters:supporter", [A("supporter__pk")])
    )
    level = Column("Level", accessor="level_name")
    balance = CountColumn("Credits", accessor="balance", total=True)
    open = CountColumn("Promises open", total=True)
    overdue = CountColumn("Overdue", total=True)
    kept = CountColumn("Kept", total=True)


class ContributionTable(HouseTable):
    """Contributions, the latest month first."""

    thing, things = "contribution", "contributions"

    name = NameColumn(
        "Supporter", accessor="supporter__name", linkify=("supporters:contribution", [A("pk")])
    )
    month = MonthColumn("Month")
    level = Column("Level", accessor="level__name")
    amount = MoneyColumn("Amount")
    on = DayColumn("Day")
    said = Column("It was", accessor="said", orderable=False)


class VerdictTable(HouseTable):
    """What each row of a file would do."""

    thing, things = "row", "rows"

    who = NameColumn("Whose", accessor="who", why="why", empty_values=())
    number = CountColumn("Line")
    month = MonthColumn("Month")
    level_name = Column("Level")
    amount = MoneyColumn("Amount")
    words = Column("What it does")


class ShopSaleTable(HouseTable):
    """What was sold of what had been set aside."""

    thing, things = "sale", "sales"

    ware = NameColumn("Ware", accessor="ware__name", linkify=("supporters:shop_sale", [A("pk")]))
    channel = Column("Sold")
    quantity = CountColumn("Pieces", total=True)
    price = MoneyColumn("Price of one")
    total = MoneyColumn("Came to", accessor="total", orderable=False)
    sold_on = DayColumn("Day")
    reference = Column("Order number")
