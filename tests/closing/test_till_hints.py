"""What one till tells of a night: pieces that were sold there and not rung up."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.closing.makers import SATURDAY_NIGHT, SATURDAY_NOON, SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory
from vendor.closing.takings import till_sheet
from vendor.counter.models import Sale
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def test_an_unrung_sale_is_sold_at_the_till_and_on_the_day_that_was_over(
    stall: Stall, client: Client
) -> None:
    """36.47 over in the second box on Saturday: the missing tumbler was sold there and then."""
    ware: Ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 5)
    stall.opens_till()
    stall.cash("float", 50_00, till=2)
    stall.counts(ware, 4)
    stall.counts_cash(86_47, till=2, day=SATURDAY_NOON.date(), now=SATURDAY_NIGHT)
    stall.counts_cash(86_47, till=2)
    stall.counts_cash(0)
    client.force_login(stall.owner)
    page = reverse("closing:differences", args=[stall.first.pk])
    name = f"{ware.pk}-first-1-in-2-2026-11-21"
    with time_machine.travel(SUNDAY_NIGHT, tick=False):
        shown = client.get(page).content.decode()
        assert "Second box, Saturday is $36.47 over." in shown
        assert f'value="{name}"' in shown
        unrung = reverse("closing:sell_unrung", args=[stall.first.pk])
        client.post(unrung, {"unrung": name, "key": "u"})
    sale = Sale.objects.get(by_count=True)
    assert (sale.till, sale.day, sale.total) == (2, SATURDAY_NOON.date(), 36_47)
    assert [each.over_short for each in till_sheet(stall.first).stretches] == [0, 0, 0]
