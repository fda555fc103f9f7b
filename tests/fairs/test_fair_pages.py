"""The owner's pages about fairs and weekends."""

import datetime

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, PriceFactory, TierFactory, WareFactory, stocked
from tests.fairs.makers import FIRST_DAY, a_fair, weekends_of
from vendor.fairs import actions
from vendor.fairs.models import Fair, Weekend
from vendor.house.models import User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def potter(owner: User, client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner)
    return client


@pytest.fixture
def weekend(owner: User) -> Weekend:
    return weekends_of(a_fair(owner), owner)[0]


@pytest.fixture
def tumbler(owner: User, weekend: Weekend) -> Ware:
    """Ten on the shelf, at 34.00."""
    ware = PriceFactory(tier=weekend.fair.tier).ware
    stocked(ware, 10, who=owner)
    return ware


def filled(ware: Ware, quantity: object, **more: object) -> dict[str, object]:
    return {f"pick{ware.pk}-first-quantity": quantity, f"pick{ware.pk}-first-was": 0, **more}


def fair_form(**more: object) -> dict[str, object]:
    return {
        "name": "Oxmere Mill Winter Fair", "tier": TierFactory().pk, "tax_rate": "7,25 %",
        "tax_included": "no", "tax_rounding": "receipt", "cash_step": "5", "note": "", **more,
    }  # fmt: skip


def test_without_a_fair_the_page_says_what_to_do_first(potter: Client) -> None:
    """The empty page leads to the first fair."""
    stocked(WareFactory(), 1)
    answer = potter.get(reverse("fairs:index"))
    assert "No fair yet" in answer.content.decode()
    assert reverse("fairs:new_fair") in answer.content.decode()


def test_a_fair_is_opened_with_its_rate_typed_as_a_percentage(potter: Client) -> None:
    """7,25 % is 72,500 parts per million; the caution stands beside the rate."""
    stocked(WareFactory(), 1)
    shown = potter.get(reverse("fairs:new_fair")).content.decode()
    assert "ask a qualified adviser" in shown
    answer = potter.post(reverse("fairs:new_fair"), fair_form())
    fair = Fair.objects.get()
    assert answer.url == reverse("fairs:fair", args=[fair.pk])
    assert (fair.tax_rate_ppm, fair.cash_step, fair.tax_included) == (72_500, 5, False)


@pytest.mark.parametrize("rate", ["", "much", "-1", "101", "7.25.1", "七", "9" * 500])
def test_a_rate_that_is_none_keeps_what_was_typed(potter: Client, rate: str) -> None:
    """Nothing is saved, and the form still holds it."""
    stocked(WareFactory(), 1)
    answer = potter.post(reverse("fairs:new_fair"), fair_form(tax_rate=rate, note="by the mill"))
    assert answer.status_code == 200
    assert "by the mill" in answer.content.decode()
    assert not Fair.objects.exists()


def test_a_fair_is_changed(potter: Client, weekend: Weekend) -> None:
    """Its form comes filled in, and what is changed is saved."""
    address = reverse("fairs:edit_fair", args=[weekend.fair_id])
    assert 'value="7.25"' in potter.get(address).content.decode()
    potter.post(address, fair_form(tax_rate="8", tax_included="yes"))
    weekend.fair.refresh_from_db()
    assert (weekend.fair.tax_rate_ppm, weekend.fair.tax_included) == (80_000, True)


def test_weekends_are_planned_on_the_fair_s_page(potter: Client, owner: User) -> None:
    """Five weekends from a Saturday; sent twice they are planned once."""
    fair = a_fair(owner)
    told = {"first_day": "2026-11-21", "count": 5, "days": 2, "opens": "10:00", "closes": "17:00"}
    for _ in range(2):
        potter.post(reverse("fairs:fair", args=[fair.pk]), told)
    assert fair.weekends.count() == 5
    shown = potter.get(reverse("fairs:fair", args=[fair.pk])).content.decode()
    assert "Dec 19\u2009–\u200920, 2026" in shown
    assert "7.25%" in shown


@pytest.mark.parametrize(
    "wrong",
    [
        {"first_day": "31.31.2026"},
        {"count": "0"},
        {"count": "x"},
        {"closes": "09:00"},
        {"days": ""},
    ],
)
def test_a_plan_that_cannot_be_read_plans_nothing(
    potter: Client, owner: User, wrong: dict[str, str]
) -> None:
    """Each is said beside its field."""
    fair = a_fair(owner)
    told = {"first_day": "2026-11-21", "count": 5, "days": 2, "opens": "10:00", "closes": "17:00"}
    answer = potter.post(reverse("fairs:fair", args=[fair.pk]), told | wrong)
    assert "Not saved yet" in answer.content.decode()
    assert not fair.weekends.exists()


def weekend_form(*days: datetime.date, crowd: int = 100) -> dict[str, object]:
    told: dict[str, object] = {"crowd_percent": crowd}
    for index, day in enumerate(days):
        told |= {f"day{index}-day": day.isoformat(), f"day{index}-opens": "09:00",
                 f"day{index}-closes": "18:00"}  # fmt: skip
    return told


def test_a_weekend_gets_a_friday(potter: Client, weekend: Weekend) -> None:
    """The empty row is for another day."""
    address = reverse("fairs:weekend", args=[weekend.pk])
    assert potter.get(address).status_code == 200
    days = [FIRST_DAY + datetime.timedelta(days=n) for n in (0, 1, -1)]
    potter.post(address, weekend_form(*days, crowd=150))
    weekend.refresh_from_db()
    assert (weekend.first_day, weekend.crowd_percent, weekend.days.count()) == (days[2], 150, 3)


def test_a_weekend_without_a_day_is_refused(potter: Client, weekend: Weekend) -> None:
    """The page says so and keeps the days."""
    answer = potter.post(reverse("fairs:weekend", args=[weekend.pk]), weekend_form())
    assert "at least one day" in answer.content.decode()
    assert weekend.days.count() == 2


def test_dropping_says_what_it_did(potter: Client, weekend: Weekend) -> None:
    """A weekend with nothing in it goes; with a list it stays and the page says why."""
    other = weekend.fair.weekends.get(number=5)
    potter.post(reverse("fairs:drop_weekend", args=[other.pk]))
    assert weekend.fair.weekends.count() == 4
    actions.start_list(key="l", weekend=weekend, who=User.objects.first(), now=NOW)  # type: ignore[arg-type]
    answer = potter.post(reverse("fairs:drop_weekend", args=[weekend.pk]), follow=True)
    assert "so it stays" in answer.content.decode()
