"""A stall with a bad network: nothing sold is lost, and nothing is sold twice."""

import datetime
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, sent, tile
from vendor.counter import returns, settling
from vendor.counter.figures import Method
from vendor.counter.models import Sale, Unsettled
from vendor.counter.returns import Brought
from vendor.fairs.models import SellingDay, Weekend
from vendor.house import clock

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_without_a_network_sales_are_kept_and_sent_when_it_is_back(
    today: Stall, counter: Page, faults: Any
) -> None:
    """Taken at once, counted in sight, there after the page was closed, and sent once."""
    faults.allow("ERR_INTERNET_DISCONNECTED|Failed to load resource|request failed")
    counter.context.set_offline(True)
    for _ in range(2):
        tile(counter, "Tumbler").tap()
        pay_exactly(counter)
    expect(counter.locator("#state")).to_contain_text("2 sales kept on this device")
    expect(counter.locator("#log li")).to_have_count(2)
    expect(tile(counter, "Tumbler")).to_contain_text("8 left")
    assert Sale.objects.count() == 0
    counter.close()
    counter.context.set_offline(False)
    again = counter.context.new_page()
    opened(again)
    sent(again)
    expect(again.locator("#log")).to_contain_text("2: 1 × Tumbler, celadon")
    assert Sale.objects.count() == 2


def test_an_answer_that_is_lost_makes_no_second_sale(
    today: Stall, counter: Page, faults: Any
) -> None:
    """The server took it, the answer never came: sent again, it is the same sale."""
    faults.allow("ERR_FAILED|Failed to load resource|request failed")
    lost = []

    def lose_the_first_answer(route: Route) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch())
        route.abort()

    counter.route("**/sell/api/sales", lose_the_first_answer)
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    expect(counter.locator("#state")).to_contain_text("1 sale kept on this device")
    sent(counter)
    assert (len(lost), Sale.objects.count(), today.left(today.tumbler)) == (1, 1, 9)


def test_a_login_that_ran_out_keeps_the_sales_until_the_next(
    today: Stall, counter: Page, log_in: Callable[[Page, Any], None]
) -> None:
    """The page says so, offers the log-in, and sends them afterwards."""
    counter.context.clear_cookies(name="sessionid")
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    expect(counter.locator("#state")).to_have_text("Logged out: 1 sale kept on this device")
    expect(counter.get_by_role("link", name="Log in and send them")).to_be_visible()
    log_in(counter, today.helper)
    opened(counter)
    sent(counter)
    assert Sale.objects.count() == 1


def test_the_page_starts_without_a_network_and_after_the_server_was_away(
    today: Stall, counter: Page, faults: Any
) -> None:
    """Opened anew offline, it sells; the sale goes out when the network is back."""
    faults.allow("ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed")
    expect(counter.locator("#sell[data-offline]")).to_be_attached()
    counter.context.set_offline(True)
    opened(counter)
    expect(counter.locator("#heading")).to_contain_text("Oxmere Mill Winter Fair")
    tile(counter, "Berry bowl").tap()
    pay_exactly(counter)
    expect(counter.locator("#state")).to_contain_text("1 sale kept on this device")
    opened(counter)
    expect(counter.locator("#log li")).to_have_count(1)
    counter.context.set_offline(False)
    counter.reload()
    sent(counter)
    expect(counter.locator("#log")).to_contain_text("1: 1 × Berry bowl, shino")
    assert Sale.objects.count() == 1


def test_unsent_sales_are_handed_over_by_file(
    today: Stall,
    counter: Page,
    open_page: Callable[..., Page],
    log_in: Callable[[Page, Any], None],
    faults: Any,
    tmp_path: Any,
) -> None:
    """A dead network on one phone, a file, and another phone that takes it in: one sale."""
    faults.allow("ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed")
    counter.context.set_offline(True)
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    counter.get_by_text("This device", exact=True).tap()
    with counter.expect_download() as download:
        counter.get_by_role("button", name="Save 1 sale to a file").tap()
    saved = tmp_path / "sales.json"
    download.value.save_as(saved)
    other = open_page()
    log_in(other, today.owner)
    opened(other)
    other.get_by_text("This device", exact=True).click()
    other.get_by_label("Take in another device's file").set_input_files(saved)
    expect(other.locator("#device-said")).to_have_text("1 entry taken in.")
    expect(other.locator("#log")).to_contain_text("1: 1 × Tumbler, celadon")
    counter.context.set_offline(False)
    counter.reload()
    sent(counter)
    assert Sale.objects.count() == 1
    other.goto("about:blank")


def test_a_sale_written_on_paper_is_entered_for_yesterday(today: Stall, counter: Page) -> None:
    """The battery was empty on the first day; the sale counts to it all the same."""
    yesterday = today.weekend.days.earliest("day").day - datetime.timedelta(days=1)
    Weekend.objects.filter(pk=today.weekend.pk).update(first_day=yesterday)
    SellingDay.objects.create(weekend=today.weekend, day=yesterday)
    opened(counter)
    counter.get_by_label("Enter sales of").select_option(index=1)
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    sent(counter)
    sale = Sale.objects.get()
    assert (sale.day, sale.entry.day) == (yesterday, yesterday)


def test_an_undoing_that_is_refused_is_told(today: Stall, counter: Page) -> None:
    """Part of the sale came back meanwhile: it stays sold, and the list says why."""
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    sent(counter)
    sale = Sale.objects.get()
    returns.take_back(
        key="back", sale=sale, brought=[Brought(line=sale.lines.get(), quantity=1)],
        weekend=today.weekend, day=sale.day, method=Method.CASH, reason="Too small",
        who=today.owner, now=clock.now(),
    )  # fmt: skip
    counter.get_by_role("button", name="Undo sale 1").tap()
    counter.get_by_role("button", name="Rung up wrong").tap()
    expect(counter.locator("#log")).to_contain_text("Not undone: Something of sale 1")


def test_what_waits_for_the_owner_is_told_what_became_of_it(today: Stall, counter: Page) -> None:
    """Kept because the ware was retired; put aside; the device hears of it when it opens again."""
    tile(counter, "Tumbler").tap()
    expect(counter.locator("#total")).to_have_text("$36.47")
    type(today.tumbler).objects.filter(pk=today.tumbler.pk).update(retired=True)
    pay_exactly(counter)
    expect(counter.locator("#log")).to_contain_text("Waits for the owner")
    expect(counter.locator("#last-told")).to_contain_text("is retired")
    settling.put_aside(
        unsettled=Unsettled.objects.get(), reason="Rung up twice", who=today.owner, now=clock.now()
    )
    opened(counter)
    expect(counter.locator("#log .undone")).to_contain_text("Rung up twice")
