"""The count page on a phone: row by row, without a network, and by two devices."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import PHONE, Faults, assert_accessible
from tests.closing.makers import Stall
from tests.factories import WareFactory
from vendor.closing.models import StallCount

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def stocked_stall(stall: Stall) -> Stall:
    """Two kinds on the stall, five of each."""
    for _ in range(2):
        stall.packs(WareFactory(), 5)
    return stall


def address(stall: Stall) -> str:
    return f"/close/weekends/{stall.first.pk}/count/"


def count(page: Page, index: int, number: int) -> Any:
    """Type a number into a row and save it; return the row."""
    row = page.locator(".tally > li").nth(index)
    row.locator("input[type=number]").fill(str(number))
    row.locator("form.tick button[type=submit]").click()
    return row


def test_rows_are_saved_as_they_are_counted(
    phone: Page, stocked_stall: Stall, log_in: Callable[..., None]
) -> None:
    """The row says how it compares, the progress moves on, and the next row has the focus."""
    log_in(phone, stocked_stall.owner)
    phone.goto(address(stocked_stall))
    expect(count(phone, 0, 4)).to_contain_text("1 missing of 5 expected")
    expect(phone.locator("[data-counted]")).to_have_text("1")
    expect(phone.locator(".tally > li").nth(1).locator("input[type=number]")).to_be_focused()
    assert_accessible(phone)


def test_a_count_without_a_network_is_kept_and_sent_once(
    phone: Page, stocked_stall: Stall, log_in: Callable[..., None], faults: Faults
) -> None:
    """The page says what waits; when the network is back it is sent, and counted once."""
    faults.allow("ERR_INTERNET_DISCONNECTED")
    log_in(phone, stocked_stall.owner)
    phone.goto(address(stocked_stall))
    phone.context.set_offline(True)
    row = count(phone, 0, 5)
    expect(phone.locator("[data-unsent]")).to_contain_text("1 not sent yet")
    phone.context.set_offline(False)
    expect(row).to_contain_text("as expected", timeout=20_000)
    expect(phone.locator("[data-unsent]")).to_be_hidden()
    assert StallCount.objects.count() == 1


def test_two_phones_do_not_overwrite_each_other(
    phone: Page,
    open_page: Callable[..., Page],
    stocked_stall: Stall,
    helper: Any,
    log_in: Callable[..., None],
    faults: Faults,
) -> None:
    """The later one is shown who counted what, and one tap says which number holds."""
    faults.allow("409")
    other = open_page(**PHONE)
    log_in(phone, stocked_stall.owner)
    log_in(other, helper)
    for page in (phone, other):
        page.goto(address(stocked_stall))
    expect(count(other, 0, 5)).to_contain_text("as expected")
    row = count(phone, 0, 4)
    expect(row).to_contain_text("Robin counted 5 meanwhile, and you counted 4")
    assert_accessible(phone)
    row.get_by_role("button", name="4 is right").click()
    expect(row).to_contain_text("4 counted by Tansy")
    assert list(StallCount.objects.values_list("counted", flat=True)) == [5, 4]


def test_notes_and_coins_are_added_up_while_they_are_counted(
    phone: Page, stall: Stall, log_in: Callable[..., None]
) -> None:
    """Two twenties and three quarters: 40.75, before anything is saved."""
    log_in(phone, stall.owner)
    phone.goto(f"/close/weekends/{stall.first.pk}/cash/")
    phone.get_by_text("Or by note and coin").click()
    phone.locator("[name=n2000]").fill("2")
    phone.locator("[name=n25]").fill("3")
    expect(phone.locator("output[data-sum]")).to_have_text(": $40.75")
    assert_accessible(phone)
    phone.get_by_role("button", name="Save the count").click()
    expect(phone.get_by_role("table")).to_contain_text("40.75")
