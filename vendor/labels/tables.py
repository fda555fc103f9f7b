"""The lists of the pages of tags: what was printed, and what the pieces' tags say."""

from vendor.house.tables import A, Column, CountColumn, HouseTable, MomentColumn, NameColumn


class RunTable(HouseTable):
    """What was printed."""

    thing, things = "print", "prints"
    caption = "What was printed"

    made_at = MomentColumn(verbose_name="When", linkify=("labels:run", [A("pk")]))
    kind = Column(accessor="get_kind_display", order_by="kind")
    count = CountColumn(total=True, verbose_name="Tags")
    source = Column(verbose_name="For")
    sheet = Column(orderable=False)
    made_by = Column(verbose_name="By", orderable=False)


class StateTable(HouseTable):
    """What the pieces' tags say."""

    thing, things = "piece", "pieces"
    caption = "What the tags on the pieces say"

    name = NameColumn(verbose_name="Piece", why="where")
    on_hand = CountColumn(total=True, verbose_name="On hand")
    held = CountColumn(total=True, verbose_name="Held")
    untagged = CountColumn(total=True, verbose_name="No tag")
    outdated = CountColumn(total=True, verbose_name="Wrong price")
    to_tag = CountColumn(total=True, verbose_name="To tag")
    where = Column(orderable=False, visible=False, verbose_name="Where")
