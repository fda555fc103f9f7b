"""Many sales without a network, on one device and on two: all arrive, once, and the books hold."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import PHONE
from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, scan, sent, tile
from vendor.counter.models import Sale, SaleLine
from vendor.house import clock
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.sqlite  # What stays on the device does not depend on the database.
def test_fifty_sales_taken_without_a_network_are_all_there_after_a_reload(
    today: Stall, counter: Page, faults: Any
) -> None:
    """The signal goes in the middle of a sale; fifty later, a reload and a signal, all are sent."""
    faults.allow("ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed")
    expect(counter.locator("#sell[data-offline]")).to_be_attached()
    tile(counter, "Tumbler").tap()
    counter.context.set_offline(True)
    codes = ["TUM-CEL", "BOWL-SHI"]
    pay_exactly(counter)
    for number in range(2, 51):
        scan(counter, codes[number % 2])
        pay_exactly(counter)
        expect(counter.locator("#log li")).to_have_count(number)
    expect(counter.locator("#state")).to_contain_text("50 sales kept on this device")
    opened(counter)
    expect(counter.locator("#state")).to_contain_text("50 sales kept on this device")
    expect(counter.locator("#log li")).to_have_count(50)
    counter.context.set_offline(False)
    counter.reload()
    sent(counter)
    assert sorted(Sale.objects.values_list("number", flat=True)) == list(range(1, 51))
    assert audit() == []


def test_two_devices_sell_the_last_piece(
    today: Stall,
    counter: Page,
    open_page: Callable[..., Page],
    log_in: Callable[[Page, Any], None],
    faults: Any,
) -> None:
    """Both customers have a piece in the hand, so both are sales; one piece had to be found."""
    faults.allow("ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed")
    ledger.remove(
        key="gone",
        lines=[ledger.Line(today.bowl.pk, 3)],
        source=today.place,
        to="given",
        who=today.owner,
        now=clock.now(),
        reason="To the neighbours",
    )
    other = open_page(**PHONE)
    log_in(other, today.owner)
    for page in (counter, other):
        opened(page)
        expect(tile(page, "Berry bowl")).to_contain_text("1 left")
        page.context.set_offline(True)
        tile(page, "Berry bowl").tap()
        pay_exactly(page)
    for page in (counter, other):
        page.context.set_offline(False)
        page.reload()
        sent(page)
    lines = SaleLine.objects.order_by("sale__number").values_list("sale__number", "found")
    assert list(lines) == [(1, 0), (2, 1)]
    assert today.left(today.bowl) == 0
    assert audit() == []
    other.goto("about:blank")


def test_a_login_that_ran_out_with_a_full_outbox_loses_nothing(
    today: Stall, counter: Page, log_in: Callable[[Page, Any], None], faults: Any
) -> None:
    """Offline first, then logged out, with several sales waiting; the next log-in sends them."""
    faults.allow("ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed")
    counter.context.set_offline(True)
    for _ in range(5):
        tile(counter, "Tumbler").tap()
        pay_exactly(counter)
    counter.context.clear_cookies(name="sessionid")
    counter.context.set_offline(False)
    expect(counter.locator("#state")).to_have_text("Logged out: 5 sales kept on this device")
    log_in(counter, today.helper)
    opened(counter)
    sent(counter)
    assert Sale.objects.count() == 5
    assert today.left(today.tumbler) == 5


def test_a_sale_that_the_device_cannot_write_down_is_not_shown_as_taken(
    today: Stall, counter: Page
) -> None:
    """A full disk: the seller is told, the sale stays open, and is taken once there is room."""
    counter.evaluate("""() => {
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (...things) {
            if (this.name !== "items") return put.apply(this, things);
            IDBObjectStore.prototype.put = put;
            throw new DOMException("No room", "QuotaExceededError");
        };
    }""")
    tile(counter, "Tumbler").tap()
    counter.get_by_role("button", name="Cash").tap()
    counter.get_by_role("button", name="Exactly").tap()
    expect(counter.locator("#wrong")).to_contain_text("it is not taken, and is still open here")
    expect(counter.locator("#wrong")).to_be_visible()
    expect(counter.locator("#last")).to_be_hidden()
    assert Sale.objects.count() == 0
    pay_exactly(counter)
    expect(counter.locator("#wrong")).to_be_hidden()
    sent(counter)
    assert Sale.objects.count() == 1
