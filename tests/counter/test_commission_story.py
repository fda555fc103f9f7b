"""A commission from the first word to the last coin, in a browser: taken without a signal."""

import datetime
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import assert_accessible
from tests.counter.stalls import Stall
from tests.counter.steps import opened, sent
from tests.counter.storage import READ
from vendor.closing import actions as closing
from vendor.closing.takings import till_sheet
from vendor.counter.models import Commission, Deposit, Sale
from vendor.house import clock
from vendor.ledger.audit import audit
from vendor.supporters import actions as supporters
from vendor.supporters.models import Commitment
from vendor.ware.models import Ware

OFFLINE = "ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed"
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def order(page: Page, **told: str) -> None:
    """Fill the sheet in, and take the commission."""
    page.get_by_role("button", name="Take a commission…").tap()
    page.get_by_label("What", exact=True).select_option("Tumbler, celadon")
    for label, text in told.items():
        page.locator(f"#order-{label}").fill(text)
    page.get_by_role("button", name="It is ordered").tap()


def test_a_commission_is_taken_offline_kept_as_a_promise_and_paid_at_hand_over(
    today: Stall, counter: Page, faults: Any
) -> None:
    """90.00 agreed, 20.00 in cash without a signal, 70.00 at the hand-over: the till is right."""
    faults.allow(OFFLINE)
    counter.context.set_offline(True)
    order(counter, name="", price="90.00", deposit="20.00")
    expect(counter.locator("#order-wrong")).to_contain_text("needs a name")
    assert_accessible(counter)
    due = f"{clock.now().year + 1}-02-01"
    counter.locator("#order-due").fill(due)
    for label, text in (("name", "Hyacinth Vole"), ("contact", "vole@example.test")):
        counter.locator(f"#order-{label}").fill(text)
    counter.locator("#order-choices").fill("a hare on the rim")
    counter.get_by_role("button", name="It is ordered").tap()
    expect(counter.locator("#orders")).to_contain_text("On this device, not sent yet")
    expect(counter.locator("#state")).to_contain_text("1 entry kept on this device")
    assert "Hyacinth Vole" in str(counter.evaluate(READ))

    counter.context.set_offline(False)
    counter.evaluate("dispatchEvent(new Event('online'))")
    sent(counter)
    expect(counter.locator("#orders")).to_contain_text("Promise 1: Tumbler, celadon")
    for word in ("Hyacinth", "Vole", "vole@", "a hare on the rim"):
        assert word not in str(counter.evaluate(READ))
    promise = Commission.objects.get().commitment
    assert (promise.supporter.name, promise.to_pay) == ("Hyacinth Vole", 7000)
    assert promise.due_on == datetime.date.fromisoformat(due)

    supporters.keep_piece(
        key="held", commitment=promise, place=today.place, who=today.owner, now=clock.now()
    )
    counter.get_by_role("link", name="Hand a held piece over").tap()
    counter.get_by_role("link", name="Hand over, $70.00 to pay").tap()
    counter.get_by_label("In cash").check()
    counter.get_by_label("Cash handed over").fill("100.00")
    assert_accessible(counter)
    counter.get_by_role("button", name="It is paid and handed over").tap()
    expect(counter.locator("main")).to_contain_text("Change $30.00")
    expect(counter.locator("main")).to_contain_text("Paid as a deposit")

    sale = Sale.objects.get()
    assert (sale.total, sale.net + sale.tax, sale.seller) == (9000, 9000, today.helper)
    assert Commitment.objects.get().state == "handed_over"
    assert till_sheet(today.weekend).till.expected == 9000
    counted = closing.count_cash(
        key="c", weekend=today.weekend, counted=9000, saw=0, who=today.owner, now=clock.now()
    )
    assert till_sheet(today.weekend).over_short == 0, counted
    assert audit() == []
    opened(counter)
    assert_accessible(counter)


def test_a_commission_that_waits_says_so_and_the_name_is_gone(today: Stall, counter: Page) -> None:
    """Of a ware that was retired meanwhile: the device keeps nothing of the customer."""
    Ware.objects.filter(pk=today.tumbler.pk).update(retired=True)
    order(counter, name="Hyacinth Vole", price="90.00", choices="a hare")
    expect(counter.locator("#orders")).to_contain_text("Waits for the owner")
    assert "Hyacinth" not in str(counter.evaluate(READ))
    assert not Deposit.objects.exists()
