"""What a firing's page says that it is worth."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import FormFactory, PriceFactory, TierFactory, WareFactory
from tests.firings.kiln import fired, owner, unloaded
from vendor.firings import unloading
from vendor.firings.models import Firing

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def at(firing: Firing) -> str:
    """Return the address of a firing's page."""
    return reverse("firings:firing", args=[firing.pk])


def test_the_value_of_a_firing_names_what_has_no_price(pages: Client) -> None:
    """A total without it, never with nothing for it."""
    priced = PriceFactory(ware=WareFactory(), amount=3400).ware
    firing = fired((priced, 2), (WareFactory(own_name="Oil cruet, shino"), 5))
    page = pages.get(
        reverse("firings:firing", args=[firing.pk]), {"tier": "no such list"}
    ).content.decode()
    assert "$68.00" in page
    assert "No price for Oil cruet, shino" in page


def test_the_value_of_a_firing_says_what_it_fell_by(pages: Client) -> None:
    """Twelve at 34.00 went in, ten came out whole and two cracked: 68.00 less."""
    firing = fired((PriceFactory(ware=WareFactory(), amount=3400).ware, 12))
    unloaded(firing, unloading.Count(firing.lines.get().pk, 10, causes={"cracked": 2}))
    page = pages.get(at(firing)).content.decode()
    assert "$68.00 less than as loaded" in page


def test_bisque_is_valued_by_the_prices_of_its_forms(pages: Client) -> None:
    """No ware is needed for it."""
    form = FormFactory()
    PriceFactory(ware=None, form=form, tier=TierFactory(), amount=1000)
    firing = fired((form, 7), kind="bisque", cone="06")
    assert "$70.00" in pages.get(at(firing)).content.decode()
