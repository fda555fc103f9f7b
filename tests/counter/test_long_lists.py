"""A long plank and a long day: what is asked for most is there at once, the rest by one tap."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, scan, sent
from tests.factories import FormFactory, PriceFactory, WareFactory, stocked
from vendor.counter.intake import take_in
from vendor.counter.models import Sale
from vendor.house import clock

# What the browser does and keeps does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]


def test_of_many_ware_the_first_are_on_the_plank_and_all_can_be_found(
    today: Stall, counter: Page
) -> None:
    """A hundred and thirty forms: a hundred and twenty tiles, the rest by a tap or by its code."""
    for each in range(128):
        ware = WareFactory(form=FormFactory(code=f"J{each}", name=f"Jar {each}"))
        PriceFactory(tier=today.tier, ware=ware, amount=2000, set_by=today.owner)
        stocked(ware, 1, at=today.place, who=today.owner)
    opened(counter)
    expect(counter.locator("#tiles li")).to_have_count(120)
    scan(counter, ware.code)
    expect(counter.locator("#told")).to_contain_text("1 piece")
    pay_exactly(counter)
    sent(counter)
    # Two forms of the stall, one of them also as a second; one jar is sold.
    counter.get_by_role("button", name="Show all 130").click()
    expect(counter.locator("#tiles li")).to_have_count(130)
    expect(counter.locator("#tiles-more")).to_be_hidden()


def test_of_a_long_day_the_latest_sales_are_listed_and_all_by_a_tap(
    today: Stall, counter: Page, faults: Any
) -> None:
    """Sixty of seventy; the sum above is of all."""
    at = clock.now().isoformat()
    documents = [today.document((today.tumbler, 1), sold_at=at) for _ in range(70)]
    take_in(raws=documents, who=today.helper, now=clock.now())
    assert Sale.objects.count() == 70
    opened(counter)
    expect(counter.locator("#log-sum")).to_contain_text("70 sales")
    expect(counter.locator("#log li")).to_have_count(60)
    counter.get_by_role("button", name="Show all 70").click()
    expect(counter.locator("#log li")).to_have_count(70)
