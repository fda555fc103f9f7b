"""One ware's own page: what was seen, and the chance of each piece to be sold."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import UserFactory
from tests.restock.makers import Season
from vendor.restock import evidence
from vendor.restock.evidence import MORE, MOST
from vendor.restock.room import Room

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def season(monkeypatch: pytest.MonkeyPatch) -> Season:
    """Three weekends; it is the Wednesday before the second."""
    made = Season()
    monkeypatch.setattr("vendor.house.clock.now", lambda: made.at(2, -3, 9))
    return made


@pytest.fixture
def pages(client: Client, season: Season) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(season.owner, backend=BACKEND)
    return client


def test_each_piece_has_its_chance_and_its_place(season: Season) -> None:
    """Two on the stall, three to bring, one without room for it, the rest short, then spare."""
    ware = season.ware(free=4)
    season.bring(ware, 10, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11 + hour / 2) for hour in range(8)])
    row = season.row(ware, season.at(2, -3, 9), level=90, room=Room(3))
    told = evidence.chances(row)
    assert [each.number for each in told] == list(range(1, row.wanted + MORE + 1))
    where = [each.where for each in told]
    assert where[:6] == ["on the stall"] * 2 + ["bring"] * 3 + ["free, no room"]
    assert where[6 : row.wanted] == ["short"] * row.short
    assert where[row.wanted :] == [""] * MORE
    percents = [each.percent for each in told]
    assert percents == sorted(percents, reverse=True)
    assert percents[0] == round(100 * row.demand.at_least(1))
    assert percents[row.wanted - 1] >= 10 >= percents[row.wanted]


def test_what_is_there_and_brought_is_sold_or_left(pages: Client, season: Season) -> None:
    """On average: sold and left make the two there and the three brought; the page says so."""
    ware = season.ware(free=4)
    season.bring(ware, 10, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11 + hour / 2) for hour in range(8)])
    row = season.row(ware, season.at(2, -3, 9), level=90, room=Room(3))
    found = evidence.on_average(row)
    assert found.quantity == 5
    assert found.sold + found.left == pytest.approx(5)
    assert found.sold + found.missed == pytest.approx(row.demand.mean)
    asked = {"fair": season.fair.pk, "level": 90, "room": 3, "unit": "pieces"}
    shown = pages.get(reverse("restock:ware", args=[ware.pk]), asked).content.decode()
    assert "With 5 on the stall" in shown
    assert f"{found.sold:.1f} sold" in shown


def test_of_ware_that_sells_by_the_dozen_the_last_pieces_are_told(season: Season) -> None:
    """Sixteen of them at most."""
    ware = season.ware(free=60)
    season.bring(ware, 60, season.at(1, -1, 17))
    season.sell(ware, season.at(1, 0, 11), pieces=40)
    row = season.row(ware, season.at(2, -3, 9))
    told = evidence.chances(row)
    assert len(told) == MOST
    assert told[-1].number == row.wanted + MORE


def test_the_page_tells_the_weekends_and_the_pieces(pages: Client, season: Season) -> None:
    """Hours, what they count as, and the way back to the plan as it was asked for."""
    ware = season.ware(free=3)
    season.bring(ware, 9, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 8, season.at(1, 1, 13))
    page = pages.get(reverse("restock:ware", args=[ware.pk]), {"level": 90}).content.decode()
    assert "1: Nov 21\u2009–\u200922, 2026" in page
    assert "sold out Sunday 1:00\u202fPM" in page
    assert "10 of 14" in page
    assert "0.71" in page
    assert "more than 10." in page
    assert f"/restock/?fair={season.fair.pk}&amp;level=90" in page
    index = pages.get("/restock/", {"level": 90}).content.decode()
    assert f"/restock/ware/{ware.pk}/?fair={season.fair.pk}&amp;level=90" in index


def test_ware_that_was_never_here_says_so(pages: Client, season: Season) -> None:
    """There is nothing to show but the others."""
    ware = season.ware(free=3)
    page = pages.get(reverse("restock:ware", args=[ware.pk])).content.decode()
    assert "Never on this stall" in page


def test_ware_that_is_not_in_the_plan_is_not_found(pages: Client, season: Season) -> None:
    """Neither shelf nor stall ever had it; nor is there a page without a weekend."""
    ware = season.ware()
    assert pages.get(reverse("restock:ware", args=[ware.pk])).status_code == 404


def test_a_helper_may_not_look(client: Client, season: Season) -> None:
    """It is the owner's."""
    client.force_login(UserFactory(), backend=BACKEND)
    assert client.get(reverse("restock:ware", args=[season.ware().pk])).status_code == 403
