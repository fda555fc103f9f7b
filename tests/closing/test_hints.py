"""Pots and till beside each other: what the one tells of the other is sold in one click."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory
from vendor.counter.models import Sale
from vendor.house.models import User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _sunday_night() -> object:
    with time_machine.travel(SUNDAY_NIGHT, tick=False):
        yield


@pytest.fixture
def potter(owner: User, client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner)
    return client


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected, at 34.00 and 7.25 % tax."""
    ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.sells(ware, 3, amount=109_40)
    return ware


def address(name: str, stall: Stall, ware: Ware | None = None) -> str:
    more = [ware.pk, "first"] if ware else []
    return reverse(f"closing:{name}", args=[stall.first.pk, *more])


def test_what_the_till_tells_is_sold_in_one_click(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """Two missing, worth 72.93 with their tax, and the till 72.93 over: sold once, both right."""
    stall.counts(tumbler, 5)
    stall.counts_cash(109_40 + 72_93)
    shown = potter.get(address("differences", stall)).content.decode()
    assert "<dd>$72.93</dd>" in shown
    assert "<dd>$72.93 over</dd>" in shown
    name = f"{tumbler.pk}-first-2"
    assert f'name="unrung" value="{name}"' in shown
    for _ in range(2):
        potter.post(address("sell_unrung", stall), {"unrung": name, "key": "u"})
    assert Sale.objects.get(by_count=True).pieces == 2
    line = stall.line(tumbler)
    assert line is not None
    assert line.variance == 0


def test_a_hint_that_is_none_any_more_sells_nothing(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """Counted again meanwhile: nothing is sold, and the page says to look again."""
    stall.counts(tumbler, 6)
    stall.counts_cash(109_40 + 36_47)
    stall.counts(tumbler, 7)
    answer = potter.post(
        address("sell_unrung", stall), {"unrung": f"{tumbler.pk}-first-1"}, follow=True
    )
    assert "look again" in answer.content.decode()
    assert not Sale.objects.filter(by_count=True).exists()
