"""The lists of the Shelf: what stands where, and what happened to a ware."""

from django.utils.safestring import SafeString

from vendor.house.tables import (
    A,
    Column,
    CountColumn,
    HouseTable,
    MomentColumn,
    NameColumn,
    mark,
)
from vendor.ledger.story import Step
from vendor.ware.columns import WareColumn


class StockTable(HouseTable):
    """What stands where."""

    thing, things = "line", "lines"
    caption = "What stands where"

    name = WareColumn(
        accessor="ware__name",
        verbose_name="Ware",
        linkify=("ledger:ware", [A("ware__pk")]),
        why="ware__code",
        piece="ware",
    )
    code = Column(accessor="ware__code", visible=False)
    grade = Column()
    place = Column(accessor="place__name")
    on_hand = CountColumn(verbose_name="On hand", total=True)
    held = CountColumn(total=True)
    free = CountColumn(total=True)

    def render_grade(self, value: str) -> str | SafeString:
        """Mark a second; a first needs no mark."""
        return mark("second") if value == "second" else "first"

    def value_grade(self, value: str) -> str:
        """Return the grade itself."""
        return value


class StoryTable(HouseTable):
    """What happened to one ware, the latest first."""

    thing, things = "entry", "entries"
    caption = "History"

    what = NameColumn(
        verbose_name="What",
        linkify=("ledger:entry", [A("entry__pk")]),
        why="told",
        orderable=False,
    )
    who = Column(accessor="entry__who", visible=False)
    why = Column(accessor="entry__reason", verbose_name="Why", visible=False)
    when = MomentColumn(accessor="entry__happened_at", verbose_name="When", orderable=False)
    grade = Column(orderable=False)
    way = Column(verbose_name="From → to", orderable=False)
    quantity = CountColumn(verbose_name="Pieces", orderable=False)
    after = Column(verbose_name="Then", orderable=False)
    state = Column(verbose_name="State", orderable=False, empty_values=())

    def render_state(self, record: Step) -> str | SafeString:
        """Mark what has been undone, and what is an undoing."""
        return mark(record.state) if record.state else ""

    def value_state(self, record: Step) -> str:
        """Return the state itself."""
        return record.state
