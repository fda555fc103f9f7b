"""What the fair needs to its end stays on the shelf; what is free beyond it may go online."""

import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from tests.restock.makers import Season
from vendor.restock import beyond, reading
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
ONLINE = reverse("supporters:online")


@pytest.fixture
def season() -> Season:
    """Three weekends, the first of them over."""
    return Season()


def sold(season: Season, *, free: int) -> Ware:
    """Sell four of six on the first Saturday; so many more are free on the shelf."""
    ware = season.ware(free=free)
    season.bring(ware, 6, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 4)
    return ware


def need(season: Season, ware: Ware, weekend: int) -> tuple[int, int]:
    """Return what is to be brought to a weekend, and what the fair needs to its end."""
    plan = season.plan(season.at(weekend, -3, 9))
    row = next(row for row in plan.rows if row.ware == ware)
    return row.bring, beyond.need_to_the_end(plan, reading.all_weekends())[ware.pk]


def test_the_fair_keeps_more_than_its_next_weekend_takes(season: Season) -> None:
    """Two weekends ask for more than one, and of the last one nothing is kept beyond it."""
    ware = sold(season, free=40)
    brought, kept = need(season, ware, 2)
    assert 0 < brought < kept < 40
    brought, kept = need(season, ware, 3)
    assert brought == kept


def test_the_page_hands_the_need_to_the_online_bin(
    season: Season, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One tap from what to bring to what can go online, and only what is left over is proposed."""
    monkeypatch.setattr("vendor.house.clock.now", lambda: season.at(2, -3, 9))
    client.force_login(season.owner, "django.contrib.auth.backends.ModelBackend")
    ware = sold(season, free=40)
    _, kept = need(season, ware, 2)
    few = sold(season, free=1)
    page = html.unescape(client.get("/restock/").content.decode())
    address = re.search(rf'href="({ONLINE}\?[^"]*)"', page)
    assert address is not None
    assert f"need={ware.pk}:{kept}" in address[1]
    shown = client.get(address[1]).content.decode()
    assert "after the fair’s need" in shown
    assert re.search(rf'name="add-{ware.pk}" value="2"', shown)
    assert re.search(rf'name="add-{few.pk}" value="0"', shown)


def test_with_an_empty_shelf_nothing_leads_online(
    season: Season, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There is nothing to put there; and the bin's own page leads to what the fair needs."""
    monkeypatch.setattr("vendor.house.clock.now", lambda: season.at(2, -3, 9))
    client.force_login(season.owner, "django.contrib.auth.backends.ModelBackend")
    sold(season, free=0)
    assert "goes online" not in client.get("/restock/").content.decode()
    season.ware(free=1)
    assert 'href="/restock/"' in client.get(ONLINE).content.decode()
