"""The packing list on paper: what goes into which tote, with a box to tick for each line."""

from typing import Any

from vendor.fairs.queries import Packing
from vendor.house.models import Studio
from vendor.house.paper import Block, Column, Sheet
from vendor.house.paper import draw as draw_sheet
from vendor.house.written import bare_money, major, money

COLUMNS = (
    Column("In", 0.5),
    Column("Ware", 5),
    Column("Code", 1.6),
    Column("Pieces", 1, number=True),
    Column("Price", 1.2, number=True),
)


def draw(page: Packing, *, studio: Studio) -> bytes:
    """Return the packing list by tote as a PDF."""
    return draw_sheet(as_sheet(page, studio), studio=studio)


def as_sheet(page: Packing, studio: Studio) -> Sheet:
    """Return the packing list in words."""
    weekend = page.packing_list.weekend
    state = "loaded" if page.packing_list.is_loaded else "not loaded yet"
    return Sheet(
        title=f"Packing list: {weekend.fair.name}",
        about=(
            f"Weekend {weekend.number}, {weekend.span}. {page.packing_list.title}, {state}.",
            f"{page.pieces} pieces, worth {money(page.worth, studio)} at the fair's prices.",
        ),
        blocks=[
            Block(
                heading=f"Tote {tote}" if tote else "No tote",
                columns=COLUMNS,
                rows=[
                    (
                        "[  ]",
                        row.name,
                        row.line.ware.code,
                        str(row.line.quantity),
                        "" if row.price is None else bare_money(row.price, studio),
                    )
                    for row in rows
                ],
                foot=("", "Together", "", str(pieces), ""),
            )
            for tote, rows, pieces in page.totes
        ],
    )


def as_rows(page: Packing, studio: Studio) -> tuple[list[str], list[list[Any]]]:
    """Return the packing list's head and rows for a spreadsheet."""
    head = ["Tote", "Ware", "Code", "Grade", "Pieces", f"Price ({studio.currency})"]
    rows = [
        [
            tote,
            row.line.ware.name,
            row.line.ware.code,
            row.line.get_grade_display(),
            row.line.quantity,
            None if row.price is None else major(row.price, studio),
        ]
        for tote, lines, _ in page.totes
        for row in lines
    ]
    return head, rows
