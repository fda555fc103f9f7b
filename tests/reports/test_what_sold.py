"""The what-sold report against a small season worked by hand."""

import csv
import datetime
import io

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.factories import (
    NOW,
    OwnerFactory,
    PriceFactory,
    StudioFactory,
    TierFactory,
    WareFactory,
    stocked,
)
from vendor.counter import actions as counter
from vendor.counter.at import At
from vendor.counter.figures import Method
from vendor.counter.rung import Bill, Paid, Rung
from vendor.fairs import planning
from vendor.fairs.models import Fair, Weekend
from vendor.house import clock
from vendor.house.models import Studio, User
from vendor.reports import queries
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def studio() -> Studio:
    return StudioFactory()


@pytest.fixture
def owner(studio: Studio) -> User:
    return OwnerFactory()


@pytest.fixture
def tumbler(owner: User) -> Ware:
    return WareFactory(own_name="Tumbler, celadon")


@pytest.fixture
def jar(owner: User) -> Ware:
    return WareFactory(own_name="Thimble jar, shino")


@pytest.fixture
def fair(owner: User, tumbler: Ware, jar: Ware) -> Fair:
    """Two weekends at 7.25 % added, twenty of each ware on the stall."""
    PriceFactory(ware=tumbler, amount=3400, set_by=owner)
    PriceFactory(ware=jar, amount=800, set_by=owner)
    terms = planning.Terms(tier=TierFactory(), tax_rate_ppm=72_500)
    fair = planning.open_fair(name="Oxmere Mill Winter Fair", terms=terms, who=owner, now=NOW)
    planning.plan_weekends(
        fair=fair, first_day=datetime.date(2026, 11, 21), count=2, who=owner, now=NOW
    )
    for ware in (tumbler, jar):
        stocked(ware, 20, at=fair.stall, who=owner)
    return fair


def sell(
    weekend: Weekend, ware: Ware, pieces: int, price: int, method: Method, key: str, owner: User
) -> object:
    at = clock.at(weekend.first_day, datetime.time(11), Studio.objects.get())
    return counter.ring_up(
        key=key, at=At(weekend=weekend, moment=at), who=owner, now=NOW,
        bill=Bill(
            lines=[Rung(ware_id=ware.pk, list_price=price, quantity=pieces)],
            payments=[Paid(method=method)],
        ),
    )  # fmt: skip


@pytest.fixture
def season(fair: Fair, tumbler: Ware, jar: Ware, owner: User) -> Fair:
    """Four sales, one of which was undone."""
    first, second = fair.weekends.all()
    sell(first, tumbler, 2, 3400, Method.CARD, "a", owner)
    sell(first, jar, 3, 800, Method.CASH, "b", owner)
    sell(second, tumbler, 1, 3400, Method.CASH, "c", owner)
    wrong = sell(second, jar, 5, 800, Method.CARD, "d", owner)
    counter.undo_sale(key="v", sale=wrong, reason="wrong ware", who=owner, now=NOW)
    return fair


def test_what_sold_adds_up_as_worked_by_hand(season: Fair) -> None:
    """2 × 34 + 3 × 8 + 1 × 34 = 126 net; tax 4.93 + 1.74 + 2.47 (2.465 half up) = 9.14."""
    report = queries.what_sold(season)
    rows = {row.name: row for row in report.rows}
    assert rows["Tumbler, celadon"].sold.by_weekend == {1: 2, 2: 1}
    assert rows["Tumbler, celadon"].sold.net == 10_200
    assert rows["Tumbler, celadon"].each == 3400
    assert rows["Thimble jar, shino"].sold.by_weekend == {1: 3, 2: 0}
    assert (report.all.pieces, report.all.net, report.all.tax) == (6, 12_600, 914)


def test_takings_of_each_weekend_add_up_to_how_they_were_paid(season: Fair) -> None:
    """Cash and card together are net and tax together."""
    first, second = queries.by_weekend(season)
    assert (first.sales, first.pieces, first.card, first.cash) == (2, 5, 7293, 2574)
    assert (second.sales, second.pieces, second.card, second.cash) == (1, 1, 0, 3647)
    for row in (first, second):
        assert row.total == row.cash + row.card + row.other == row.net + row.tax


def test_the_report_takes_the_same_statements_however_much_sold(
    season: Fair, owner: User, tumbler: Ware, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    """Four statements for what sold, eight for the weekends."""
    for number in range(12):
        sell(season.weekends.all()[0], tumbler, 1, 3400, Method.CASH, f"x{number}", owner)
    with django_assert_num_queries(4):
        queries.what_sold(season)
    with django_assert_num_queries(8):
        queries.by_weekend(season)


def test_the_page_shows_it_and_hands_it_over_as_csv(
    season: Fair, owner: User, client: Client
) -> None:
    """The figures of the page and of the file are the same."""
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    page = client.get("/reports/").content.decode()
    assert "Tumbler, celadon" in page
    assert "$126.00" in page
    response = client.get("/reports/?_export=csv")
    lines = list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))
    assert ["Tumbler, celadon", "2", "1", "3", "34.00", "102.00", "7.40", "109.40"] in lines
    takings = client.get("/reports/?w-_export=csv").content.decode()
    assert "98.67" in takings


def test_before_anything_is_sold_the_page_says_what_to_do(owner: User, client: Client) -> None:
    """An empty report is no error."""
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    assert "Nothing sold yet" in client.get("/reports/").content.decode()
    assert client.get("/reports/?fair=99999999999999999999&page=x").status_code == 200
