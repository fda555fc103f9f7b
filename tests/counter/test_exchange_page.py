"""An exchange in a browser: what stands on the page is all that is sent."""

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import assert_accessible
from tests.counter.stalls import Stall
from tests.counter.steps import pay_exactly, sent, tile
from vendor.counter.models import Exchange, Sale

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_sold_piece_is_exchanged_for_a_dearer_one(today: Stall, counter: Page) -> None:
    """Looked at, then done: the difference that was shown is the one that is taken."""
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    sent(counter)
    counter.goto(f"/sell/sales/{Sale.objects.get().pk}/exchange/")
    counter.get_by_label("Instead").select_option(f"{today.bowl.pk} first")
    counter.get_by_label("Cash", exact=True).check()
    counter.get_by_label("Why").fill("Too small")
    counter.get_by_role("button", name="What is the difference?").tap()
    expect(counter.get_by_role("status").last).to_contain_text("To pay")
    assert_accessible(counter)
    counter.get_by_role("button", name="It is exchanged").tap()
    expect(counter.get_by_role("main")).to_contain_text("in exchange, receipt 1")
    assert Exchange.objects.get().back.sale.number == 1
