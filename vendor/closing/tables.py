"""The list of statements."""

from vendor.house.tables import (
    A,
    Column,
    CountColumn,
    HouseTable,
    MomentColumn,
    MoneyColumn,
    NameColumn,
)


class StatementsTable(HouseTable):
    """Every closed weekend, with its money and how its pots differed."""

    thing, things = "statement", "statements"
    caption = "Statements"

    title = NameColumn(
        accessor="weekend__span",
        verbose_name="Weekend",
        linkify=("closing:statement", [A("number")]),
        why="title",
        order_by=("first_day",),
    )
    number = CountColumn(verbose_name="Number")
    cash_counted = MoneyColumn(verbose_name="Cash counted", total=True)
    over_short = MoneyColumn(verbose_name="Over or short", total=True)
    card_sales = MoneyColumn(verbose_name="Cards", total=True)
    other_sales = MoneyColumn(verbose_name="Other", total=True)
    closed = MomentColumn(accessor="made_at", verbose_name="Closed")
    who = Column(accessor="made_by", verbose_name="By")
