"""A list finds a ware by its shape: its pot stands before its name."""

import pytest
from bs4 import BeautifulSoup
from django.template.loader import render_to_string
from django.test import RequestFactory

from tests.factories import OwnerFactory, PriceFactory, StudioFactory, WareFactory
from vendor.house import listing
from vendor.house.listing import Empty
from vendor.house.tables import HouseTable
from vendor.ware.columns import WareColumn
from vendor.ware.models import Price, Ware

pytestmark = pytest.mark.django_db


class Shelf(HouseTable):
    """Ware itself."""

    name = WareColumn("Ware", order_by=("form__name",), linkify=("house:login", []), why="code")


class Prices(HouseTable):
    """Something that points to ware."""

    ware = WareColumn("Ware", accessor="ware__name", piece="ware", linkify=("house:login", []))


@pytest.mark.parametrize("table", [Shelf, Prices])
def test_the_pot_stands_outside_of_the_link_and_is_hidden_from_readers(
    table: type[HouseTable],
) -> None:
    """One link with the name as its words; the drawing says nothing of its own."""
    ware = WareFactory(form__name="Tumbler <1>", finish__name="ash", code="T1-AS")
    PriceFactory(ware=ware)
    request = RequestFactory().get("/")
    request.studio = StudioFactory()  # type: ignore[attr-defined]
    request.user = OwnerFactory()
    rows = Ware.objects.named() if table is Shelf else Price.objects.all()
    found = listing.lay_out(request, table, rows, file_name="ware", empty=Empty("None"))
    html = render_to_string("house/list.html", {"list": found}, request=request)
    cell = BeautifulSoup(html, "html.parser").select_one("tbody th")
    assert cell is not None
    assert cell.svg is not None
    assert cell.svg["aria-hidden"] == "true"
    assert cell.a is not None
    assert cell.a.get_text() == "Tumbler <1>, ash"
    assert cell.a.svg is None
    exported = found.export("csv").content.decode("utf-8-sig").splitlines()
    assert exported[1] == '"Tumbler <1>, ash"'
