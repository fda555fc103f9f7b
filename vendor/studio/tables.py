"""The list of the owner's page of changes."""

from vendor.house import changes
from vendor.house.models import Change
from vendor.house.tables import Column, HouseTable, MomentColumn, NameColumn
from vendor.studio.history import page_of


def page_of_row(record: Change) -> str | None:
    """Return where a row leads."""
    return page_of(record)


class ChangesTable(HouseTable):
    """What was changed, the latest first."""

    thing, things = "change", "changes"
    caption = "What was changed"

    called = NameColumn(verbose_name="What", linkify=page_of_row)
    kind = Column()
    what = Column(accessor="get_what_display", verbose_name="Done", order_by="what")
    fields = Column(
        verbose_name="From → to",
        orderable=False,
        empty_values=(),
        attrs={"cell": {"class": "across"}},
    )
    who = Column(verbose_name="By", order_by=("who__first_name", "who__username"))
    at = MomentColumn(verbose_name="When")

    class Meta:
        order_by = "-at"

    def render_fields(self, record: Change) -> str:
        """Say which fields became what; of people only which."""
        return changes.in_words(record)

    def value_fields(self, record: Change) -> str:
        """Return the same words."""
        return changes.in_words(record)
