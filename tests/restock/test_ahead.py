"""What to glaze, fire and throw, read from the boards, the kilns and the fair."""

import datetime

import pytest
from django.test import Client

from tests.factories import NOW
from tests.firings.boards import batch, loaded, moved
from tests.firings.kiln import unloaded
from tests.restock.makers import Season
from vendor.firings.models import Batch, Firing, Stage
from vendor.house import clock
from vendor.restock import ahead, reading
from vendor.restock.ahead import ToMake
from vendor.restock.making import Pace
from vendor.supporters import actions as promises
from vendor.supporters import choosing
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
MONDAY = datetime.date(2026, 11, 9)


@pytest.fixture
def season() -> Season:
    """Three weekends, the first of them over."""
    return Season()


@pytest.fixture
def tumbler(season: Season) -> Ware:
    """A ware that sold out on the first Saturday, with none on the shelf."""
    ware = season.ware(form__name="Tumbler", finish__name="celadon")
    season.bring(ware, 4, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 4)
    return ware


def made(season: Season) -> tuple[list[ToMake], Pace]:
    """Return what to make, on the Wednesday before the second weekend."""
    now = season.at(2, -3, 9)
    return ahead.to_make(
        season.plan(now), reading.all_weekends(), today=clock.day_of(now, season.studio),
        studio=season.studio,
    )  # fmt: skip


def a_history(ware: Ware) -> Batch:
    """Take a batch from the wheel to the shelf: thrown the 9th, bisque the 16th, out the 2nd."""
    one = batch(1, ware.form, thrown_on=MONDAY)
    one = moved(one, Stage.BISQUE, on=MONDAY + datetime.timedelta(days=7))
    unloaded(loaded((ware, 1, one)))
    return one


def test_without_a_history_there_are_no_days(season: Season, tumbler: Ware) -> None:
    """The pieces are told, the days are not."""
    (row,), pace = made(season)
    assert pace == Pace()
    assert (row.ware, row.throw, row.late, row.first_by) == (tumbler, row.short, 0, None)
    assert "throw" in row.how


def test_the_pace_is_the_studios_own(season: Season, tumbler: Ware) -> None:
    """Two days in the kiln, 16 from bisque, 23 from the wheel: too late for both weekends."""
    a_history(tumbler)
    _, pace = made(season)
    assert pace == Pace(kiln=2, bisque=16, thrown=23)


def test_what_is_on_the_way_comes_first_less_what_is_promised(
    season: Season, tumbler: Ware
) -> None:
    """Two in a kiln, three glazed on the board of which one is promised, then it is too late."""
    a_history(tumbler)
    one = batch(5, tumbler.form, stage=Stage.GLAZED)
    loaded((tumbler, 2, one), fired_on=datetime.date(2026, 11, 23))
    supporter = promises.add_supporter(key="s", name="Ines Quill", who=season.owner, now=NOW)
    promise = promises.promise(
        key="p", supporter=supporter, ware=tumbler, who=season.owner, now=NOW
    )
    choosing.start_making(key="m", commitment=promise, batch=one, who=season.owner, now=NOW)
    (row,), _ = made(season)
    assert (row.kiln, row.glaze, row.throw) == (2, 2, 0)
    assert row.late == row.short - 4
    # Out by Friday the 27th, two days in the kiln.
    assert row.first_by == datetime.date(2026, 11, 25)


def test_the_page_says_what_to_do_by_when(
    season: Season, tumbler: Ware, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is led to from what to bring, narrows, adds up and is taken away."""
    monkeypatch.setattr("vendor.house.clock.now", lambda: season.at(2, -3, 9))
    client.force_login(season.owner, "django.contrib.auth.backends.ModelBackend")
    a_history(tumbler)
    batch(2, tumbler.form, stage=Stage.GLAZED)
    assert "What to glaze, fire and throw" in client.get("/restock/").content.decode()
    page = client.get("/restock/make/").content.decode()
    for said in ("glaze and fire 2 by Nov 25", "too late for weekend", "16 days", "23 days"):
        assert said in page
    assert "Nothing matches" in client.get("/restock/make/?way=throw").content.decode()
    taken = client.get("/restock/make/?_export=csv").content.decode()
    assert "glaze and fire 2 by Nov 25" in taken


def test_without_a_weekend_the_page_leads_to_the_fair(client: Client) -> None:
    """There is nothing to make for yet."""
    season = Season(count=1)
    client.force_login(season.owner, "django.contrib.auth.backends.ModelBackend")
    assert Firing.objects.count() == 0
    assert "No weekend ahead" in client.get("/restock/make/").content.decode()
