"""What sold early and online stands in the reports, beside what sold at the fairs."""

import csv
import io

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.factories import NOW, OwnerFactory, StudioFactory, TierFactory, WareFactory, stocked
from tests.supporters.makers import TODAY
from vendor.house.models import User
from vendor.ledger.actions import Line
from vendor.reports.elsewhere import sold_elsewhere
from vendor.supporters import offering, online
from vendor.supporters.models import EarlyRelease
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    StudioFactory()
    return OwnerFactory()


@pytest.fixture
def jar(owner: User) -> Ware:
    """Six jars: three set aside early, two firsts and a second online."""
    ware = WareFactory(own_name="Thimble jar, shino")
    stocked(ware, 5, who=owner)
    stocked(ware, 1, who=owner, grade="second", key="second")
    release = offering.open_early_release(
        key="r", name="Winter letter", opens_on=TODAY, closes_on=TODAY, tier=TierFactory(),
        who=owner, now=NOW,
    )  # fmt: skip
    offering.set_aside(key="a", release=release, ware=ware, quantity=3, who=owner, now=NOW)
    online.put_online(
        key="o", lines=[Line(ware.pk, 2), Line(ware.pk, 1, "second")], who=owner, now=NOW
    )
    return ware


def sell(ware: Ware, owner: User, key: str, quantity: int, price: int, **more: object) -> None:
    """Sell so many at a price each, and the same again by the same key."""
    for _ in range(2):
        sale = online.sell_set_aside(
            key=key, ware=ware, quantity=quantity, price=price, who=owner, now=NOW,
            **more,  # type: ignore[arg-type]
        )  # fmt: skip
    if key == "undone":
        online.undo_sale(key="u", sale=sale, reason="Paid by mistake", who=owner, now=NOW)


@pytest.fixture
def sold(jar: Ware, owner: User) -> Ware:
    """Two early at 8.00, one online at 9.50, a second at 5.00; one more early, undone."""
    release = EarlyRelease.objects.get()
    sell(jar, owner, "early", 2, 800, release=release)
    sell(jar, owner, "online", 1, 950)
    sell(jar, owner, "second", 1, 500, grade="second")
    sell(jar, owner, "undone", 1, 800, release=release)
    return jar


def test_early_and_online_sales_add_up_as_worked_by_hand(
    sold: Ware, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    """2 × 8.00 + 9.50 = 25.50 for three firsts, 8.50 each; a second for 5.00."""
    with django_assert_num_queries(2):
        first, second = sold_elsewhere()
    assert (first.early, first.online, first.pieces, first.total, first.each) == (
        2, 1, 3, 2550, 850,
    )  # fmt: skip
    assert (second.name, second.pieces, second.total) == ("Thimble jar, shino (second)", 1, 500)


def test_the_report_shows_them_and_hands_them_over(sold: Ware, owner: User, client: Client) -> None:
    """With their sum, without a fair too; the file has the same figures."""
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    page = client.get("/reports/").content.decode()
    assert "Sold early and online" in page
    assert "$30.50" in page
    taken = client.get("/reports/?a-_export=csv").content.decode("utf-8-sig")
    assert ["Thimble jar, shino", "2", "1", "3", "8.50", "25.50"] in list(
        csv.reader(io.StringIO(taken))
    )


def test_where_nothing_sold_so_the_report_has_no_table_of_it(
    jar: Ware, owner: User, client: Client
) -> None:
    """What is only set aside has not sold."""
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    assert "Sold early and online" not in client.get("/reports/").content.decode()
