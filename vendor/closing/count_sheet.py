"""The count sheet on paper: what to look for on the stall, with a line to write each number on."""

from collections.abc import Sequence

from vendor.closing.queries import StallLine
from vendor.fairs.models import Weekend
from vendor.house.models import Studio
from vendor.house.paper import Block, Column, Sheet
from vendor.house.paper import draw as draw_sheet

COLUMNS = (Column("Ware", 5), Column("Code", 1.6), Column("Counted", 1.4), Column("Note", 2.5))
LINE = "_" * 10
BLANK_ROWS = 6


def draw(weekend: Weekend, lines: Sequence[StallLine], *, studio: Studio) -> bytes:
    """Return the count sheet as a PDF. It never says what is expected."""
    return draw_sheet(as_sheet(weekend, lines), studio=studio)


def as_sheet(weekend: Weekend, lines: Sequence[StallLine]) -> Sheet:
    """Return the count sheet in words, with empty rows for what is not listed."""
    rows = [(line.name, line.ware.code, LINE, "") for line in lines]
    return Sheet(
        title=f"Count sheet: {weekend.fair.name}",
        about=(
            f"Weekend {weekend.number}, {weekend.span}.",
            "Counted by ____________________   on ____________   from ______ to ______",
        ),
        blocks=[
            Block("", COLUMNS, [*rows, *[("", "", LINE, "")] * BLANK_ROWS]),
        ],
    )
