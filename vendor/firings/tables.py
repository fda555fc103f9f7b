"""The lists of the kiln's pages: what is seen, what adds up, what a spreadsheet gets."""

from vendor.house.tables import (
    A,
    Column,
    CountColumn,
    DayColumn,
    HouseTable,
    NameColumn,
    ShareColumn,
)


class FiringTable(HouseTable):
    """The kiln's book."""

    thing, things = "firing", "firings"
    caption = "All firings"

    name = NameColumn(
        verbose_name="Firing",
        linkify=("firings:firing", [A("firing__pk")]),
        order_by="firing__number",
        why="what",
    )
    fired_on = DayColumn(accessor="firing__fired_on", verbose_name="Fired on")
    kiln = Column(accessor="firing__kiln__name")
    state = Column()
    loaded = CountColumn(total=True)
    firsts = CountColumn(total=True)
    seconds = CountColumn(total=True)
    lost = CountColumn(total=True)


class LossTable(HouseTable):
    """What the forms lost."""

    thing, things = "form", "forms"
    caption = "Losses by form"

    name = NameColumn(accessor="form__name", verbose_name="Form", why="why")
    loaded = CountColumn(total=True)
    seconds = CountColumn(total=True)
    lost = CountColumn(total=True)
    seconds_ppm = ShareColumn(verbose_name="Seconds, share")
    lost_ppm = ShareColumn(verbose_name="Lost, share")
    why = Column(verbose_name="Causes", orderable=False, visible=False)
