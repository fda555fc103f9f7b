"""The list of all sales: what is seen, what adds up, what a spreadsheet gets."""

from vendor.house.tables import (
    A,
    Column,
    CountColumn,
    DayColumn,
    HouseTable,
    MoneyColumn,
    NameColumn,
)


class SaleTable(HouseTable):
    """Every sale of every fair."""

    thing, things = "sale", "sales"
    caption = "All sales"

    number = NameColumn(verbose_name="Sale", linkify=("counter:sale", [A("pk")]), why="what")
    day = DayColumn(verbose_name="Selling day")
    fair = Column(accessor="fair__name", verbose_name="Fair")
    what = Column(orderable=False, visible=False)
    pieces = CountColumn(total=True)
    net = MoneyColumn(verbose_name="Without tax", total=True)
    tax = MoneyColumn(total=True)
    total = MoneyColumn(verbose_name="Total", total=True)
    seller = Column(accessor="seller__first_name", verbose_name="Sold by")
    state = Column(orderable=False, verbose_name="State")
