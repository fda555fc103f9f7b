"""Lists over QuerySets: the database does the work, and always in as many queries."""

import datetime
from typing import Any

import pytest
from django.db.models import F, Q
from django.template.loader import render_to_string
from django.test import RequestFactory

from tests.factories import OwnerFactory, PriceFactory, StudioFactory, WareFactory
from vendor.house import listing
from vendor.house.listing import Choice, Days, Empty, Listing
from vendor.house.tables import CountColumn, HouseTable, MomentColumn, MoneyColumn, NameColumn
from vendor.ware.models import Price

pytestmark = pytest.mark.django_db


class PriceTable(HouseTable):
    """Prices with the names of what they are for."""

    name = NameColumn("Ware", accessor="ware__form__name")
    finish = NameColumn("Finish", accessor="ware__finish__name")
    amount = MoneyColumn("Price", total=True)
    height = CountColumn("Height", accessor="ware__form__height_mm", total=True)
    set_at = MomentColumn("Set")


@pytest.fixture
def prices() -> list[Price]:
    """Twelve prices, set a day apart from 1 December on."""
    return [
        PriceFactory(
            ware=WareFactory(),
            amount=1000 + number,
            set_at=datetime.datetime(2026, 12, 1 + number, 4, 30, tzinfo=datetime.UTC),
        )
        for number in range(12)
    ]


def rows() -> Any:
    return Price.objects.select_related("ware__form", "ware__finish")


def priced(query: str = "", queryset: Any = None) -> Listing:
    request = RequestFactory().get(f"/?{query}")
    request.studio = StudioFactory()  # type: ignore[attr-defined]
    request.user = OwnerFactory()
    return listing.lay_out(
        request,
        PriceTable,
        rows() if queryset is None else queryset,
        file_name="prices",
        empty=Empty("No prices yet"),
        search=("ware__form__name", "ware__code"),
        filters=(
            Choice("finish", "Finish", field="ware__finish__name"),
            Choice("high", "High", options={"yes": ("High", Q(amount__gte=1006))}),
            Days("set", "Set", field="set_at", moments=True),
        ),
    )


def test_the_number_of_queries_does_not_grow(
    prices: list[Price], django_assert_num_queries: Any
) -> None:
    """Choices, count, page and totals: four queries for twelve rows, a page of five or a search."""
    StudioFactory()
    OwnerFactory()
    for query in ("", "per_page=5&page=2", "q=form&sort=-amount", "per_page=200&sort=finish"):
        found = priced(query)
        with django_assert_num_queries(4):
            again = listing.lay_out(
                found.request,
                PriceTable,
                rows(),
                file_name="prices",
                empty=Empty("No prices yet"),
                search=("ware__form__name",),
                filters=(Choice("finish", "Finish", field="ware__finish__name"),),
            )
            render_to_string("house/list.html", {"list": again}, request=found.request)


def test_totals_are_the_database_s_own(prices: list[Price]) -> None:
    """Both sums at once, of all that matches."""
    table = priced("per_page=5&high=yes").table
    assert table.totals == {
        "amount": sum(1000 + number for number in range(6, 12)),
        "height": sum(price.ware.form.height_mm for price in prices[6:] if price.ware),
    }


def test_a_search_looks_through_what_a_row_points_to(prices: list[Price]) -> None:
    """By the form's name or the ware's code."""
    ware = prices[3].ware
    assert ware is not None
    assert [row.record.pk for row in priced(f"q={ware.code}").table.rows] == [prices[3].pk]


def test_days_of_moments_are_the_studio_s_days(prices: list[Price]) -> None:
    """4:30 UTC on the 2nd is still the 1st in New York: a day's end is the studio's midnight."""
    from django.utils import timezone

    with timezone.override("America/New_York"):
        found = priced("set_from=2026-12-01&set_to=2026-12-01")
    assert [row.record.set_at.day for row in found.table.rows] == [2]


def test_rows_that_are_equal_keep_one_order_over_the_pages(prices: list[Price]) -> None:
    """Twelve equal prices on three pages: each row is on exactly one."""
    Price.objects.update(amount=500)
    seen = [
        row.record.pk
        for page in (1, 2, 3)
        for row in priced(f"sort=amount&per_page=5&page={page}").table.paginated_rows
    ]
    assert sorted(seen) == sorted(price.pk for price in prices)


def test_dictionaries_from_the_database_work_too(prices: list[Price]) -> None:
    """`values()` rows, whose grouping a tie-breaking key would change."""

    class Short(HouseTable):
        """Two columns."""

        name = NameColumn("Ware", accessor="ware__code")
        amount = MoneyColumn("Price", total=True)

    request = RequestFactory().get("/?sort=-amount")
    request.studio = StudioFactory()  # type: ignore[attr-defined]
    found = listing.lay_out(
        request,
        Short,
        Price.objects.values("ware__code", "amount").annotate(double=F("amount") * 2),
        file_name="short",
        empty=Empty("None"),
    )
    assert next(iter(found.table.rows)).record["amount"] == 1011
    assert found.table.totals == {"amount": 12066}


def test_nothing_at_all_and_nothing_found_are_told_apart(prices: list[Price]) -> None:
    """An empty table of the database is bare; a search that finds nothing is not."""
    assert not priced("q=zebra").is_bare
    assert priced("q=zebra", Price.objects.none()).is_bare
