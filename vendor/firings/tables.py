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


class BatchTable(HouseTable):
    """The batches on the way, or those that are over."""

    thing, things = "batch", "batches"
    caption = "Batches"

    name = NameColumn(
        verbose_name="Batch",
        linkify=("firings:batch", [A("batch__pk")]),
        order_by="batch__number",
        why="what",
    )
    form = Column(accessor="batch__form__name")
    stage = Column(accessor="batch__state", order_by=("batch__stage", "batch__since"))
    since = DayColumn(accessor="batch__since")
    days = CountColumn(verbose_name="Days there")
    at_hand = CountColumn(accessor="batch__at_hand", total=True)
    in_kiln = CountColumn(accessor="batch__in_kiln", verbose_name="In a kiln", total=True)
    out = CountColumn(accessor="batch__out", verbose_name="Came out", total=True)
    lost = CountColumn(accessor="batch__lost", total=True)
