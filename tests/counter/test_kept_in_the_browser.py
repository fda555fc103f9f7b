"""What a day's selling leaves in the browser: no secret, and nothing about a person."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, scan, sent, tile
from vendor.counter import pins
from vendor.counter.models import Sale, Unsettled
from vendor.house import clock
from vendor.house.models import User

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OFFLINE = "ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed"
# All that a page's scripts can read of what outlasts the page.
READ = """async () => {
  const [local, session] = [{ ...localStorage }, { ...sessionStorage }];
  const found = { local, session, databases: {}, caches: {} };
  for (const { name } of await indexedDB.databases()) {
    const database = await new Promise((resolve, reject) => {
      const request = indexedDB.open(name);
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    for (const store of database.objectStoreNames) {
      const request = database.transaction(store).objectStore(store).getAll();
      await new Promise((resolve) => { request.onsuccess = resolve; });
      found.databases[`${name} ${store}`] = request.result;
    }
    database.close();
  }
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const response = await cache.match(request);
      const type = response.headers.get("Content-Type") ?? "";
      const headers = JSON.stringify([...response.headers]);
      found.caches[request.url] = headers + (/image/.test(type) ? "" : await response.text());
    }
  }
  return found;
}"""


@pytest.fixture
def people(today: Stall) -> Stall:
    """The stall, whose people have names that nothing else is called."""
    for user, first, last in (
        (today.owner, "Ottilie", "Quince"),
        (today.helper, "Zebedee", "Marrow"),
    ):
        User.objects.filter(pk=user.pk).update(first_name=first, last_name=last)
        user.refresh_from_db()
    return today


def choose_seller(page: Page, seller: User, pin: str) -> None:
    page.get_by_text("This device", exact=True).tap()
    page.get_by_role("button", name="Change…").tap()
    page.get_by_label("Who", exact=True).select_option(value=str(seller.pk))
    page.get_by_label("Their PIN").fill(pin)
    page.get_by_role("button", name="Sell", exact=True).tap()
    expect(page.locator("#device-said")).to_contain_text("sells from now on")


def sell_with_words(page: Page) -> None:
    """Sell with a customer's name, address and number wherever the page lets one write."""
    tile(page, "Tumbler").tap()
    page.locator("#open-sale").tap()
    page.get_by_role("button", name="Price…").tap()
    page.get_by_label("Its own price a piece").fill("30")
    page.locator("#price-why").fill("Hyacinth chose it")
    page.get_by_role("button", name="Use this price").tap()
    page.get_by_role("button", name="Discount or note…").tap()
    page.get_by_label("Take off the sale").fill("10%")
    page.locator("#whole-why").fill("Hyacinth is a neighbour")
    page.get_by_label("Note for the receipt").fill("Hyacinth, 4 Tideway, 555 0142")
    page.get_by_role("button", name="Use this", exact=True).tap()
    pay_exactly(page)


def undo_with_words(page: Page) -> None:
    page.get_by_role("button", name="Undo sale").first.tap()
    page.locator("#undo-reason").fill("Hyacinth brought it back")
    page.locator("#undo").get_by_role("button", name="Undo", exact=True).tap()
    expect(page.locator("#log .undone")).to_contain_text("Hyacinth brought it back")
    sent(page)


def secrets_of(page: Page, people: Stall) -> list[str]:
    """Return every word that must not be found, and see to it that each is one."""
    cookies = {each["name"]: each for each in page.context.cookies()}
    session = cookies[settings.SESSION_COOKIE_NAME]
    assert session["httpOnly"]
    words = ["Hyacinth", "Tideway", "555 0142", "Ottilie", "Quince", "Zebedee", "Marrow"]
    words += [people.owner.username, people.helper.username, "2580", "csrfmiddlewaretoken"]
    words += [session["value"], cookies["csrftoken"]["value"]]
    [passes] = [
        kept
        for kept in (row.get_decoded().get("counter_passes") for row in Session.objects.all())
        if kept
    ]
    words += [seal for _, seal in passes.values()]
    return words


def test_after_a_days_selling_nothing_of_a_person_is_kept_in_the_browser(
    people: Stall, phone: Page, log_in: Callable[[Page, Any], None], faults: Any
) -> None:
    """Sold by PIN, with notes, offline and on, undone with a reason, one waiting for the owner."""
    faults.allow(OFFLINE)
    pins.set_pin(user=people.helper, pin="2580", who=people.owner, now=clock.now())
    other = User.objects.create_user(username="lender", first_name="Bartholomew")
    log_in(phone, other)
    opened(phone)
    expect(phone.locator("#sell[data-offline]")).to_be_attached()
    choose_seller(phone, people.helper, "2580")
    sell_with_words(phone)
    sent(phone)
    undo_with_words(phone)
    phone.context.set_offline(True)
    scan(phone, "BOWL-SHI")
    pay_exactly(phone)
    unsent = phone.evaluate(READ)["databases"]["wareboard-counter items"]
    assert {item["state"] for item in unsent} == {"taken", "unsent"}
    phone.context.set_offline(False)
    phone.reload()
    sent(phone)
    type(people.tumbler).objects.filter(pk=people.tumbler.pk).update(retired=True)
    sell_with_words(phone)
    expect(phone.locator("#log")).to_contain_text("Waits for the owner")
    opened(phone)
    sent(phone)
    phone.wait_for_load_state("networkidle")
    found = phone.evaluate(READ)
    assert {item["state"] for item in found["databases"]["wareboard-counter items"]} == {
        "taken",
        "kept",
    }
    assert len(found["caches"]) > 10
    assert found["local"]["wareboard-seller"] == str(people.helper.pk)
    text = json.dumps(found, ensure_ascii=False)
    for word in [*secrets_of(phone, people), "lender", "Bartholomew"]:
        assert word not in text, f"{word} is kept: …{text.partition(word)[0][-300:]}"
    assert Sale.objects.filter(seller=people.helper).count() == 2
    assert Unsettled.objects.get().document["note"] == "Hyacinth, 4 Tideway, 555 0142"
    phone.goto("about:blank")


def test_a_pass_that_ran_out_stops_no_queue(
    people: Stall, phone: Page, log_in: Callable[[Page, Any], None]
) -> None:
    """The PIN was changed meanwhile: sold all the same, asked for again, and taken when given."""
    pins.set_pin(user=people.helper, pin="2580", who=people.owner, now=clock.now())
    log_in(phone, User.objects.create_user(username="lender"))
    opened(phone)
    choose_seller(phone, people.helper, "2580")
    pins.set_pin(user=people.helper, pin="1470", who=people.owner, now=clock.now())
    tile(phone, "Tumbler").tap()
    pay_exactly(phone)
    expect(phone.locator("#log")).to_contain_text("Waits for the owner: The PIN of the one who")
    expect(phone.locator("#pin-wanted")).to_contain_text("Zebedee Marrow")
    phone.get_by_role("button", name="Give it").tap()
    phone.get_by_label("Their PIN").fill("1470")
    phone.get_by_role("button", name="Sell", exact=True).tap()
    expect(phone.locator("#log")).to_contain_text("1: 1 × Tumbler, celadon")
    expect(phone.locator("#pin-wanted")).to_be_hidden()
    assert (Sale.objects.get().seller, Unsettled.objects.get().sale) == (
        people.helper,
        Sale.objects.get(),
    )
    phone.goto("about:blank")


def test_who_sells_changes_without_a_signal_and_the_sales_wait_for_the_pin(
    people: Stall, counter: Page, faults: Any
) -> None:
    """A reload offline knows the seller by number alone; the PIN is asked for when it is back."""
    faults.allow(OFFLINE)
    expect(counter.locator("#sell[data-offline]")).to_be_attached()
    pins.set_pin(user=people.owner, pin="1470", who=people.owner, now=clock.now())
    opened(counter)
    counter.context.set_offline(True)
    opened(counter)
    counter.get_by_text("This device", exact=True).tap()
    counter.get_by_role("button", name="Change…").tap()
    counter.get_by_label("Who", exact=True).select_option(label=f"seller {people.owner.pk}")
    counter.get_by_role("button", name="Sell", exact=True).tap()
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    counter.context.set_offline(False)
    counter.reload()
    expect(counter.locator("#pin-wanted")).to_contain_text("Ottilie Quince")
    expect(counter.locator("#log")).to_contain_text("Waits for the owner")
    assert Unsettled.objects.get().document["seller"] == people.owner.pk


def log_out(page: Page) -> None:
    page.get_by_role("button", name="More", exact=True).tap()
    page.get_by_role("button", name="Log out").tap()
    expect(page.locator("html[data-left]")).to_be_attached()


def test_a_log_out_forgets_all_and_the_next_log_in_keeps_it_anew(
    people: Stall, counter: Page, log_in: Callable[[Page, Any], None], faults: Any
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
    log_in(counter, people.helper)
    opened(counter)
    sent(counter)
    counter.wait_for_load_state("networkidle")
    counter.context.set_offline(True)
    opened(counter)
    expect(counter.locator("#heading")).to_contain_text("Oxmere Mill Winter Fair")
    expect(counter.get_by_role("button", name="Cash")).to_be_visible()


def test_a_log_out_with_unsent_sales_forgets_nothing_and_says_so(
    people: Stall, counter: Page, log_in: Callable[[Page, Any], None], faults: Any
) -> None:
    """They are sent after the next log-in."""
    faults.allow("sell/api/sales|Failed to load resource|request failed")
    counter.route("**/sell/api/sales", lambda route: route.abort())
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    log_out(counter)
    expect(counter.locator("#unsent")).to_contain_text("1 entry is on this device only")
    counter.unroute("**/sell/api/sales")
    log_in(counter, people.helper)
    opened(counter)
    sent(counter)
    assert Sale.objects.count() == 1
