"""Price lists and prices: set from a day on, kept for ever, shown for all ware."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import (
    NOW,
    FormFactory,
    OwnerFactory,
    PriceFactory,
    StudioFactory,
    TierFactory,
    WareFactory,
)
from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.ware import catalogue, price_actions
from vendor.ware.errors import PastPrice
from vendor.ware.models import Price, PriceTier
from vendor.ware.price_actions import NewPrice
from vendor.ware.queries import price_book

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 12, 2)


@pytest.fixture
def pages(client: Client, monkeypatch: pytest.MonkeyPatch) -> Client:
    """A browser in which the owner is logged in, on the second of December."""
    monkeypatch.setattr("vendor.house.clock.now", lambda: NOW)
    StudioFactory()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def at(name: str, *args: Any) -> str:
    """Return the address of a page of this part."""
    return reverse(f"ware:{name}", args=args)


def set_price(tier: PriceTier, amount: int, day: datetime.date, **target: int) -> list[Price]:
    """Set one price, on the second of December."""
    return price_actions.set_prices(
        tier=tier, prices=[NewPrice(amount, **target)], from_date=day, today=TODAY,
        who=OwnerFactory(), now=NOW,
    )  # fmt: skip


def asked(ware: Any, tier: PriceTier, day: datetime.date) -> int:
    """Return what a ware costs on a day."""
    return price_book(on=day, studio=StudioFactory()).price(ware.pk, ware.form_id, tier.pk)


def test_a_new_price_begins_on_its_day_and_the_old_one_is_kept() -> None:
    """Until the day before, the old one is asked."""
    old = PriceFactory(amount=3400)
    day = TODAY + datetime.timedelta(days=9)
    set_price(old.tier, 3600, day, ware_id=old.ware_id)
    assert asked(old.ware, old.tier, day - datetime.timedelta(days=1)) == 3400
    assert asked(old.ware, old.tier, day) == 3600
    assert Price.objects.count() == 2


def test_a_day_that_is_over_keeps_its_price() -> None:
    """Nothing is set for yesterday."""
    old = PriceFactory(amount=3400)
    with pytest.raises(PastPrice, match="kept"):
        set_price(old.tier, 3600, TODAY - datetime.timedelta(days=1), ware_id=old.ware_id)
    assert Price.objects.get().amount == 3400


def test_a_slip_of_today_can_be_put_right_today() -> None:
    """One price a day: the last one said holds, with who set it and when."""
    tier, form = TierFactory(), FormFactory()
    set_price(tier, 34000, TODAY, form_id=form.pk)
    set_price(tier, 3400, TODAY, form_id=form.pk)
    assert Price.objects.get().amount == 3400


def test_a_price_that_is_asked_already_is_not_set_again() -> None:
    """Sending the page twice changes nothing."""
    tier, form = TierFactory(), FormFactory()
    assert len(set_price(tier, 3400, TODAY, form_id=form.pk)) == 1
    assert set_price(tier, 3400, TODAY + datetime.timedelta(days=1), form_id=form.pk) == []


def test_one_price_given_twice_is_refused() -> None:
    """Nothing says which one is meant."""
    StudioFactory()
    prices = [NewPrice(100, form_id=1), NewPrice(200, form_id=1)]
    with pytest.raises(Refused, match="twice"):
        price_actions.set_prices(
            tier=TierFactory(), prices=prices, from_date=TODAY, today=TODAY,
            who=OwnerFactory(), now=NOW,
        )  # fmt: skip


def test_the_prices_of_a_list_are_set_on_one_page(pages: Client) -> None:
    """By form, and by ware that differs; what was left alone is not set anew."""
    old = PriceFactory(ware=None, form=FormFactory(), amount=4200)
    ware = WareFactory()
    said = {
        "from_date": str(TODAY),
        f"form-{old.form_id}": "42.00",
        f"form-{ware.form_id}": "$34",
        f"ware-{ware.pk}": "38.50",
    }
    for _ in range(2):
        assert pages.post(at("tier_prices", old.tier_id), said).status_code == 302
    assert catalogue.own_prices(old.tier, on=TODAY) == {
        ("form", old.form_id): 4200,
        ("form", ware.form_id): 3400,
        ("ware", ware.pk): 3850,
    }
    assert Price.objects.count() == 3


def test_a_price_left_alone_does_not_override_a_coming_one(pages: Client) -> None:
    """34.00 today and 36.00 from the tenth: a change of another ware on the twelfth leaves both."""
    old = PriceFactory(amount=3400)
    other = WareFactory()
    coming = TODAY + datetime.timedelta(days=8)
    set_price(old.tier, 3600, coming, ware_id=old.ware_id)
    later = coming + datetime.timedelta(days=2)
    said = {"from_date": str(later), f"ware-{old.ware_id}": "34.00", f"ware-{other.pk}": "20"}
    pages.post(at("tier_prices", old.tier_id), said)
    assert asked(old.ware, old.tier, later) == 3600
    assert asked(other, old.tier, later) == 2000


def test_a_price_written_otherwise_is_no_new_price(pages: Client) -> None:
    """$42 where 42.00 stood says nothing new."""
    old = PriceFactory(ware=None, form=FormFactory(), amount=4200)
    said = {"from_date": str(TODAY), f"form-{old.form_id}": "$42"}
    assert pages.post(at("tier_prices", old.tier_id), said).status_code == 302
    assert Price.objects.get() == old


@pytest.mark.parametrize(
    ("amount", "told"),
    [
        ("0", "above zero"),
        ("-1", "below zero"),
        ("1.234.5", "can&#x27;t be read"),
        ("34.555", "can&#x27;t be read"),
        ("a lot", "can&#x27;t be read"),
        ("2000000000", "slip of the keys"),
        ("9" * 50, "at most"),
    ],
)
def test_an_impossible_price_is_told(pages: Client, amount: str, told: str) -> None:
    """Zero, below zero, words, half cents and slips set nothing."""
    form, tier = FormFactory(), TierFactory()
    said = {"from_date": str(TODAY), f"form-{form.pk}": amount}
    page = pages.post(at("tier_prices", tier.pk), said).content.decode()
    assert told in page
    assert not Price.objects.exists()


@pytest.mark.parametrize("day", ["", "2026-12-01", "2126-12-01", "tomorrow"])
def test_an_impossible_day_is_told(pages: Client, day: str) -> None:
    """No day, a past one, one far off."""
    form, tier = FormFactory(), TierFactory()
    pages.post(at("tier_prices", tier.pk), {"from_date": day, f"form-{form.pk}": "34"})
    assert not Price.objects.exists()


def test_amounts_are_read_as_the_studio_writes_them(pages: Client) -> None:
    """34,50 in German is 34.50."""
    Studio.objects.update(language="de_DE", currency="EUR")
    form, tier = FormFactory(), TierFactory()
    pages.post(at("tier_prices", tier.pk), {"from_date": str(TODAY), f"form-{form.pk}": "34,50"})
    assert Price.objects.get().amount == 3450
    assert 'value="34,50"' in pages.get(at("tier_prices", tier.pk)).content.decode()


def test_the_price_table_has_all_ware_and_every_list(pages: Client) -> None:
    """Half of 34.00 is 17.00, and a dash stands where there is no price."""
    price = PriceFactory(amount=3400)
    PriceTier.objects.create(name="Second", share_ppm=500_000, for_seconds=True)
    unpriced = WareFactory()
    lines = pages.get(at("prices"), {"_export": "csv"}).content.decode().splitlines()
    assert lines[0].endswith("Fair (USD),Second (USD)")
    rows = {line.rsplit(",", 2)[0].strip('"'): line.rsplit(",", 2)[1:] for line in lines[1:]}
    assert rows[price.ware.name] == ["34.00", "17.00"]
    assert rows[unpriced.name] in (["", ""], ["—", "—"])


def test_price_lists_are_added_and_changed(pages: Client) -> None:
    """By per cent of the base price, above a hundred too."""
    pages.post(at("new_tier"), {"name": "Fair", "is_base": "on", "share": ""})
    pages.post(at("new_tier"), {"name": "Online", "share": "112.5"})
    online = PriceTier.objects.get(name="Online")
    assert (online.share_ppm, online.percent) == (1_125_000, "112.5 %")
    assert 'value="112.5"' in pages.get(at("tier", online.pk)).content.decode()
    pages.post(at("tier", online.pk), {"name": "Online", "share": "", "for_seconds": "on"})
    online.refresh_from_db()
    assert (online.share_ppm, online.for_seconds) == (None, True)


@pytest.mark.parametrize("share", ["0", "-5", "1001", "half", "50 50", "1.23456"])
def test_an_impossible_share_is_told(pages: Client, share: str) -> None:
    """A share lies above 0 and goes up to 1,000 per cent."""
    TierFactory()
    pages.post(at("new_tier"), {"name": "Trade", "share": share})
    assert not PriceTier.objects.filter(name="Trade").exists()


def test_there_is_one_base_list_and_one_for_seconds(pages: Client) -> None:
    """A second of either is not made, nor a list of the same name."""
    TierFactory()
    PriceTier.objects.create(name="Second", for_seconds=True)
    pages.post(at("new_tier"), {"name": "Other base", "is_base": "on"})
    assert PriceTier.objects.filter(is_base=True).count() == 1
    pages.post(at("new_tier"), {"name": "More seconds", "for_seconds": "on"})
    pages.post(at("new_tier"), {"name": "Fair"})
    assert sorted(PriceTier.objects.values_list("name", flat=True)) == [
        "Fair",
        "Other base",
        "Second",
    ]


def test_the_history_of_a_price_is_shown(pages: Client) -> None:
    """From when, and who set it."""
    old = PriceFactory(amount=3400)
    set_price(old.tier, 3600, TODAY, ware_id=old.ware_id)
    page = pages.get(at("ware", old.ware_id)).content.decode()
    assert page.index("$36.00") < page.index("$34.00")
    assert "from Wed, Dec 2, 2026" in page
