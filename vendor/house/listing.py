"""One way to make a list page: find, filter, sort, page, total, take away.

How to make one
  1. Rows: a QuerySet, or a query's list of frozen dataclasses. Never call it per row.
  2. A table of `vendor.house.tables`: what is seen, what adds up, what a spreadsheet gets.
  3. The view:

        @helper_page
        def shelf(request):
            return listing.lay_out(
                request,
                ShelfTable,
                queries.shelf(),
                file_name="shelf",
                search=("name", "code"),
                filters=(Choice("finish", "Finish", field="finish"), Days("since", "Made", "made")),
                empty=Empty("Nothing on the shelf yet", "Count out a firing first.",
                            "Load a firing", "firings:load"),
                exclude=() if request.user.is_owner else ("cost",),
            ).answer("ledger/shelf.html", places=places)

  4. The template: {% extends "base.html" %} … {% include "house/list.html" %}
     (the list is in the context as `list`; the table alone: {% render_table list.table %}).

The address of the page says it all (q, the filters, sort, page, per_page), so that Back and a
bookmark work. `_export=csv` or `xlsx` answers with the whole list as narrowed and sorted, not
only the page; any other `_export` is passed over. A column excluded here is in no export either.
A QuerySet takes three queries (count, page, totals) and one for each `Choice` that reads its own
values; one more where nothing is found. Two lists on one page need a `prefix` each.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.db.models.query import ModelIterable
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.functional import cached_property

from vendor.house import clock, season, spreadsheet
from vendor.house.filters import LONGEST_SEARCH, Choice, Days, Filter, Input, find
from vendor.house.studio import studio_of
from vendor.house.tables import HouseTable, ListRows

__all__ = ["Choice", "Days", "Empty", "Listing", "lay_out"]

PER_PAGE = 50
FEWEST, MOST = 5, 200
EXPORT = "_export"


@dataclass(frozen=True)
class Empty:
    """What to say where there is nothing yet, and what to do first (a page's URL name)."""

    title: str
    text: str = ""
    act: str = ""
    page: str = ""
    args: tuple[Any, ...] = ()


@dataclass(frozen=True)
class Listing:
    """A list as one request asked for it."""

    request: HttpRequest
    table: HouseTable
    file_name: str
    prefix: str
    search: str
    searchable: bool
    inputs: tuple[Input, ...]
    is_narrowed: bool
    is_bare: bool
    empty: Empty

    def answer(self, template: str, **context: Any) -> HttpResponse:
        """Return the file that was asked for, or the page with the list as `list`."""
        kind = self.request.GET.get(self.export_name)
        if kind in spreadsheet.FORMATS:
            return self.export(kind)
        return render(self.request, template, {"list": self, **context})

    @property
    def wants_file(self) -> bool:
        """Whether the address asks for this list as a file."""
        return self.request.GET.get(self.export_name) in spreadsheet.FORMATS

    def export(self, kind: str) -> HttpResponse:
        """Return the whole list, as narrowed and sorted, as a spreadsheet file."""
        columns = [col for col in self.table.columns.all() if not col.column.exclude_from_export]
        header = [_header(column, self.table) for column in columns]
        rows = ([row.get_cell_value(column.name) for column in columns] for row in self.table.rows)
        day = clock.day_of(clock.now(), self.table.studio)
        return spreadsheet.response(kind, f"{self.file_name}-{day.isoformat()}", header, rows)

    @property
    def count(self) -> int:
        """How many rows the narrowed list has."""
        return len(self.table.data)

    @property
    def paginator(self) -> "Paginator[Any]":
        """The pages."""
        found: Paginator[Any] = self.table.paginator
        return found

    @cached_property
    def page_numbers(self) -> list[int | str]:
        """Page numbers to link to, with an empty text where some are left out."""
        numbers = self.paginator.get_elided_page_range(
            self.table.page.number, on_each_side=1, on_ends=1
        )
        return [number if isinstance(number, int) else "" for number in numbers]

    @property
    def search_name(self) -> str:
        """The name of the search field."""
        return f"{self.prefix}q"

    @property
    def export_name(self) -> str:
        """The name of the address's field that asks for a file."""
        return self.prefix + EXPORT

    @cached_property
    def orders(self) -> list[tuple[str, str, bool]]:
        """Ways to sort, for a phone, where the table has no heads: value, words, chosen."""
        now = ",".join(self.table.order_by or ())
        found = []
        for column in self.table.columns:
            if column.orderable:
                for sign, words in (("", "rising"), ("-", "falling")):
                    value = f"{sign}{column.name}"
                    found.append((value, f"{column.header}, {words}", value == now))
        return found

    @cached_property
    def carried(self) -> list[tuple[str, str]]:
        """Names and values of the address that are not the list's own, and are kept."""
        own = {field.name for field in self.inputs} | {
            self.search_name,
            self.table.prefixed_order_by_field,
            self.table.prefixed_page_field,
            self.export_name,
        }
        query = self.request.GET
        return [(key, text) for key in query if key not in own for text in query.getlist(key)]

    @property
    def act_address(self) -> str | None:
        """Where to do what comes first, or None where the visitor may not or it is not there."""
        if not self.empty.page:
            return None
        user = getattr(self.request, "user", None)
        return season.address_of(self.empty.page, user, *self.empty.args)


def lay_out(
    request: HttpRequest,
    table_class: type[HouseTable],
    rows: Any,
    *,
    file_name: str,
    empty: Empty,
    search: Sequence[str] = (),
    filters: Sequence[Filter] = (),
    exclude: Sequence[str] = (),
    per_page: int = PER_PAGE,
    prefix: str = "",
) -> Listing:
    """Return a list as the request's address asks for it.

    `search` names the fields in which words are found: columns of the row itself or of what it
    points to, never of many. `file_name` has no ending and no spaces.
    """
    if not isinstance(rows, QuerySet):
        rows = list(rows)
    everything = rows
    asked = _asked(request, prefix)
    text = asked.get("q", "").replace("\0", "")[:LONGEST_SEARCH].strip() if search else ""
    inputs, narrowed = [], bool(text)
    for each in filters:
        rows, shown, chosen = each.narrow(rows, asked)
        inputs += [_prefixed(field, prefix) for field in shown]
        narrowed = narrowed or chosen
    table = _table(table_class, find(rows, search, text), request, exclude, prefix)
    _paginate(table, asked, per_page)
    return Listing(
        request=request,
        table=table,
        file_name=file_name,
        prefix=prefix,
        search=text,
        searchable=bool(search),
        inputs=tuple(inputs),
        is_narrowed=narrowed,
        is_bare=_is_bare(table, everything, narrowed),
        empty=empty,
    )


def _asked(request: HttpRequest, prefix: str) -> dict[str, str]:
    """Return what the address says to this list, by names without its prefix."""
    query = request.GET
    return {
        key.removeprefix(prefix): str(query.get(key)) for key in query if key.startswith(prefix)
    }


def _table(
    table_class: type[HouseTable],
    rows: Any,
    request: HttpRequest,
    exclude: Sequence[str],
    prefix: str,
) -> HouseTable:
    data = rows if isinstance(rows, QuerySet) else ListRows(rows)
    asked = request.GET.get(f"{prefix}{table_class._meta.order_by_field}")
    table = table_class(data, exclude=tuple(exclude), prefix=prefix, order_by=asked or None)
    table.studio = studio_of(request)
    found = table.data.data
    if isinstance(found, QuerySet) and found._iterable_class is ModelIterable and found.ordered:
        # Rows that are equal in the order asked for still have one order of their own, or a row
        # could stand on two pages and another on none.
        order = found.query.order_by or found.model._meta.ordering
        table.data.data = found.order_by(*order, "pk")
    return table


def _paginate(table: HouseTable, asked: dict[str, str], usual: int) -> None:
    """Show the page that was asked for, or the nearest there is."""
    size = min(max(_whole(asked.get("per_page"), usual), FEWEST), MOST)
    table.paginate(per_page=size)
    number = min(max(_whole(asked.get("page"), 1), 1), table.paginator.num_pages)
    table.page = table.paginator.page(number)


def _whole(text: str | None, otherwise: int) -> int:
    try:
        return int(text or "")
    except ValueError:
        return otherwise


def _is_bare(table: HouseTable, everything: Any, narrowed: bool) -> bool:
    """Tell whether there is nothing at all, however it is narrowed."""
    if len(table.data):
        return False
    if not narrowed:
        return True
    return not (everything.exists() if isinstance(everything, QuerySet) else everything)


def _prefixed(field: Input, prefix: str) -> Input:
    return Input(prefix + field.name, field.label, field.kind, field.value, field.offers)


def _header(column: Any, table: HouseTable) -> str:
    """Return a column's head in a spreadsheet, with the unit that its numbers are in."""
    unit = getattr(column.column, "unit", lambda studio: "")(table.studio)
    return f"{column.header} ({unit})" if unit else str(column.header)
