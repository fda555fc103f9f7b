"""A list for the tests of lists: four rows of a shelf, their table, and how to ask for it."""

import csv
import datetime
import io
from dataclasses import dataclass
from typing import Any

from bs4 import BeautifulSoup
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.test import RequestFactory

from tests.factories import OwnerFactory, StudioFactory
from vendor.house import listing
from vendor.house.listing import Choice, Days, Empty, Listing
from vendor.house.tables import Column, CountColumn, DayColumn, HouseTable, MoneyColumn, NameColumn

NOTHING = Empty("Nothing on the shelf yet", "Count out a firing first.", "Log in", "house:login")


@dataclass(frozen=True)
class Row:
    """A row as a query returns it."""

    name: str
    finish: str
    free: int | None
    price: int
    made: datetime.date
    why: str = ""


class ShelfTable(HouseTable):
    """What the rows look like."""

    thing, things, caption = "piece of ware", "pieces of ware", "On the shelf"
    name = NameColumn("Ware", why="why", linkify=lambda record: f"/ware/{record.finish}/")
    finish = Column("Finish")
    free = CountColumn("Free", total=True)
    price = MoneyColumn("Price", total=True)
    made = DayColumn("Made")


def day(number: int) -> datetime.date:
    return datetime.date(2026, 12, number)


ROWS = [
    Row("Tumbler, celadon", "celadon", 3, 3400, day(1), "sold out Sunday"),
    Row("tumbler, <b>ash</b>", "ash", 12, 3400, day(2)),
    Row("=Berry bowl", "shino", None, 4600, day(3)),
    Row("Ámphora", "ash", 1, 12000, day(4)),
]


def ask(query: str = "", **user: Any) -> HttpRequest:
    request = RequestFactory().get("/shelf/" + (f"?{query}" if query else ""))
    request.studio = StudioFactory()  # type: ignore[attr-defined]
    request.user = OwnerFactory()
    return request


def shelf(query: str = "", rows: Any = None, **more: Any) -> Listing:
    """Return the list as an address asks for it."""
    return listing.lay_out(
        ask(query),
        ShelfTable,
        ROWS if rows is None else rows,
        file_name="shelf",
        empty=NOTHING,
        search=("name", "finish"),
        filters=(
            Choice("finish", "Finish", field="finish"),
            Choice("few", "Few", options={"yes": ("Few left", lambda row: (row.free or 0) < 4)}),
            Days("made", "Made", field="made"),
        ),
        **more,
    )


def names(found: Listing) -> list[str]:
    return [row.record.name for row in found.table.paginated_rows]


def soup(found: Listing) -> BeautifulSoup:
    html = render_to_string("house/list.html", {"list": found}, request=found.request)
    return BeautifulSoup(html, "html.parser")


def read_csv(found: Listing) -> list[list[str]]:
    content = found.export("csv").content.decode("utf-8-sig")
    return list(csv.reader(io.StringIO(content, newline="")))
