"""Selling by count: no more than is missing, at the price of the studio's own day."""

import datetime

import pytest

from tests.closing.makers import SATURDAY_NOON, SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory
from vendor.closing import actions
from vendor.counter.models import Sale
from vendor.house.errors import Refused
from vendor.ledger.actions import Line
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, six of them counted: four are missing."""
    ware: Ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.counts(ware, 6)
    return ware


def sell(stall: Stall, ware: Ware, key: str, *, at: datetime.datetime = SUNDAY_NIGHT) -> Sale:
    """Sell the four by count."""
    return actions.sell_by_count(
        key=key, weekend=stall.first, lines=[Line(ware.pk, 4)], method="cash", who=stall.owner,
        now=at,
    )  # fmt: skip


def test_two_pages_sell_the_missing_pieces_once(stall: Stall, tumbler: Ware) -> None:
    """The second page, with a key of its own, was opened before the first was sent."""
    sold = sell(stall, tumbler, "one")
    with pytest.raises(Refused, match="0 of Form .* are missing by now"):
        sell(stall, tumbler, "other")
    assert sell(stall, tumbler, "one") == sold
    assert Sale.objects.count() == 1


def test_in_the_evening_the_price_is_still_that_of_the_day(stall: Stall, tumbler: Ware) -> None:
    """Eight in New York is past midnight by the world's clock; tomorrow's price is not yet."""
    stall.first.days.update(closes=datetime.time(22))
    sunday = SATURDAY_NOON.date() + datetime.timedelta(days=1)
    PriceFactory(ware=tumbler, tier=stall.first.fair.tier, amount=9900, from_date=sunday)
    evening = SATURDAY_NOON.replace(hour=20).astimezone(datetime.UTC)
    sold = sell(stall, tumbler, "one", at=evening)
    assert [line.unit_price for line in sold.lines.all()] == [3400]
