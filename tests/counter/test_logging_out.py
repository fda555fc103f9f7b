"""What a log-out leaves on the device: nothing, unless a sale is on it alone."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, sent, tile
from tests.counter.storage import READ
from vendor.counter.models import Sale

# What the browser does and keeps does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]

OFFLINE = "ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed"


def log_out(page: Page) -> None:
    page.get_by_role("button", name="More", exact=True).tap()
    page.get_by_role("button", name="Log out").tap()
    expect(page.locator("html[data-left]")).to_be_attached()


def test_a_log_out_forgets_all_and_the_next_log_in_keeps_it_anew(
    today: Stall, counter: Page, log_in: Callable[[Page, Any], None], faults: Any
) -> None:
    """Nothing is left; after the next log-in the page again opens without a signal."""
    faults.allow(OFFLINE)
    expect(counter.locator("#sell[data-offline]")).to_be_attached()
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    sent(counter)
    log_out(counter)
    found = counter.evaluate(READ)
    assert (found["local"], found["session"], found["caches"]) == ({}, {}, {})
    assert not any(found["databases"].values())
    log_in(counter, today.helper)
    opened(counter)
    sent(counter)
    counter.wait_for_load_state("networkidle")
    counter.context.set_offline(True)
    opened(counter)
    expect(counter.locator("#heading")).to_contain_text("Oxmere Mill Winter Fair")
    expect(counter.get_by_role("button", name="Cash")).to_be_visible()


def test_a_log_out_with_unsent_sales_forgets_nothing_and_says_so(
    today: Stall, counter: Page, log_in: Callable[[Page, Any], None], faults: Any
) -> None:
    """They are sent after the next log-in."""
    faults.allow("sell/api/sales|Failed to load resource|request failed")
    counter.route("**/sell/api/sales", lambda route: route.abort())
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    log_out(counter)
    expect(counter.locator("#unsent")).to_contain_text("1 entry is on this device only")
    counter.unroute("**/sell/api/sales")
    log_in(counter, today.helper)
    opened(counter)
    sent(counter)
    assert Sale.objects.count() == 1
