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
from tests.counter.storage import READ
from vendor.counter import pins
from vendor.counter.models import Sale, Unsettled
from vendor.house import clock
from vendor.house.models import User

# What the browser does and keeps does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]

OFFLINE = "ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed"


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


def order_with_words(page: Page) -> None:
    """Take a commission: a promise to a named customer."""
    page.get_by_role("button", name="Take a commission…").tap()
    page.locator("#order-name").fill("Hyacinth")
    page.locator("#order-contact").fill("4 Tideway, 555 0142")
    page.locator("#order-piece").select_option(index=1)
    page.locator("#order-choices").fill("As Hyacinth drew it")
    page.locator("#order-price").fill("60")
    page.locator("#order-note").fill("Ring 555 0142 when it is done")
    page.locator("#order button[value=take]").tap()
    expect(page.locator("#order-list li")).to_have_count(1)


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
    order_with_words(phone)
    sent(phone)
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
