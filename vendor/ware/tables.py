"""The lists of what the studio makes: ware, forms, finishes, prices."""

from collections.abc import Sequence
from typing import Any

from django.utils.safestring import SafeString

from vendor.house.tables import (
    A,
    Column,
    CountColumn,
    HouseTable,
    LengthColumn,
    MoneyColumn,
    NameColumn,
    WeightColumn,
    mark,
)
from vendor.ware.columns import WareColumn
from vendor.ware.models import PriceTier


class CatalogueTable(HouseTable):
    """All ware."""

    thing, things = "ware", "ware"
    caption = "Ware"

    name = WareColumn(
        accessor="ware__name",
        verbose_name="Ware",
        linkify=("ware:ware", [A("ware__pk")]),
        piece="ware",
    )
    code = Column(accessor="ware__code")
    form = Column(accessor="ware__form__name")
    finish = Column(accessor="ware__finish__name")
    price = MoneyColumn(verbose_name="Base price")
    state = Column(empty_values=())

    def render_state(self, value: str) -> str | SafeString:
        """Mark what is retired, or one of a kind."""
        return mark(value) if value else ""

    def value_state(self, value: str) -> str:
        """Return the state itself."""
        return value


class FormTable(HouseTable):
    """All forms."""

    thing, things = "form", "forms"
    caption = "Forms"

    name = NameColumn(linkify=("ware:form", [A("pk")]), why="code")
    category = Column()
    height_mm = LengthColumn(verbose_name="Height")
    width_mm = LengthColumn(verbose_name="Widest")
    clay_g = WeightColumn(verbose_name="Clay")
    made_in = CountColumn(verbose_name="Finishes")
    retired = Column(verbose_name="State", empty_values=())

    def render_retired(self, value: bool) -> str | SafeString:
        """Mark what is not made any more."""
        return mark("retired") if value else ""

    def value_retired(self, value: bool) -> str:
        """Return the state itself."""
        return "retired" if value else ""


class FinishTable(HouseTable):
    """All finishes."""

    thing, things = "finish", "finishes"
    caption = "Finishes"

    name = NameColumn(linkify=("ware:finish", [A("pk")]), why="code")
    food_contact = Column(accessor="get_food_contact_display", verbose_name="Food contact")
    food_note = Column(verbose_name="Note", orderable=False)
    made_in = CountColumn(verbose_name="Ware")
    retired = Column(verbose_name="State", empty_values=())

    render_retired = FormTable.render_retired
    value_retired = FormTable.value_retired


def price_table(tiers: Sequence[PriceTier]) -> type[HouseTable]:
    """Return a table of ware with a column for each price list."""
    columns: dict[str, Any] = {
        "thing": "ware",
        "things": "ware",
        "caption": "Prices",
        "css_class": "wide",
        "name": WareColumn(
            accessor="ware__name",
            verbose_name="Ware",
            linkify=("ware:ware", [A("ware__pk")]),
            piece="ware",
            why="ware__code",
        ),
    }
    for tier in tiers:
        key = f"t{tier.pk}"
        columns[key] = MoneyColumn(accessor=f"prices__{key}", verbose_name=tier.name)
    return type("PriceTable", (HouseTable,), columns)
