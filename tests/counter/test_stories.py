"""A Saturday at the stall, on a phone: taps, scans, a held piece, a second thought."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import assert_accessible
from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, scan, sent, tile
from vendor.counter import pins
from vendor.counter.models import Sale, Undoing, Unsettled
from vendor.house import clock
from vendor.labels.models import ArticleNumber
from vendor.ledger.audit import audit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_three_taps_sell_one_pot_for_exact_cash(today: Stall, counter: Page) -> None:
    """The pot, Cash, the exact sum: taken at once, sent, and one fewer left."""
    expect(tile(counter, "Tumbler")).to_contain_text("10 left")
    tile(counter, "Tumbler").tap()
    counter.get_by_role("button", name="Cash").tap()
    counter.get_by_role("button", name="Exactly $36.47").tap()
    expect(counter.locator("#last-told")).to_have_text("Sold for $36.47 in cash")
    expect(counter.locator("#log")).to_contain_text("1: 1 × Tumbler, celadon")
    sent(counter)
    expect(tile(counter, "Tumbler")).to_contain_text("9 left")
    sale = Sale.objects.get()
    assert (sale.total, sale.seller, sale.payments.get().method) == (3647, today.helper, "cash")
    assert audit() == []


def test_a_scanned_tag_and_two_taps_do_the_same(today: Stall, counter: Page) -> None:
    """A scanner types the code; a note of fifty gets its change told in large."""
    scan(counter, "BOWL-SHI")
    expect(counter.locator("#total")).to_have_text("$49.34")
    counter.get_by_role("button", name="Cash").tap()
    counter.get_by_role("button", name="$50.00").tap()
    expect(counter.locator("#last-figure")).to_have_text("Change $0.66")
    sent(counter)
    assert Sale.objects.get().payments.get().change == 66


def test_an_article_number_rings_up_its_ware_and_grade(
    today: Stall, phone: Page, log_in: Callable[[Page, Any], None]
) -> None:
    """As a scanner types them: thirteen digits of a first, twelve of a second."""
    for ware, grade, number in (
        (today.bowl, "first", "5012345678900"),
        (today.tumbler, "second", "0416000336108"),
    ):
        ArticleNumber.objects.create(ware=ware, grade=grade, number=number)
    log_in(phone, today.helper)
    opened(phone)
    scan(phone, "5012345678900")
    expect(phone.locator("#total")).to_have_text("$49.34")
    scan(phone, "416000336108")
    pay_exactly(phone)
    sent(phone)
    sold = {(line.ware.code, line.grade) for line in Sale.objects.get().lines.all()}
    assert sold == {("BOWL-SHI", "first"), ("TUM-CEL", "second")}
    phone.goto("about:blank")


def test_a_code_that_nothing_has_is_told_and_adds_nothing(today: Stall, counter: Page) -> None:
    """The sale stays as it was."""
    scan(counter, "NO-SUCH")
    expect(counter.locator("#said")).to_contain_text("NO-SUCH")
    expect(counter.get_by_role("button", name="Cash")).to_be_disabled()


def test_several_lines_a_second_and_a_card(today: Stall, counter: Page) -> None:
    """Letters filter, a line is stepped up, one of it is a second, and the card pays."""
    counter.get_by_label("Find ware by name or code").fill("berr")
    expect(counter.locator("#tiles button")).to_have_count(1)
    tile(counter, "Berry bowl").tap()
    counter.get_by_label("Find ware by name or code").fill("")
    tile(counter, "Tumbler").tap()
    counter.locator("#open-sale").tap()
    counter.get_by_role("button", name="One more: Tumbler, celadon").tap()
    counter.locator("#sale-lines li").filter(has_text="Tumbler").get_by_text("It is a second").tap()
    # 46.00 + 34.00 + 17.00 = 97.00 and 7.0325 of tax, half up 7.03.
    expect(counter.locator("#total")).to_have_text("$104.03")
    counter.get_by_role("button", name="Card").tap()
    counter.get_by_role("button", name="It is paid by card").tap()
    expect(counter.locator("#last-told")).to_have_text("Sold for $104.03 by card")
    sent(counter)
    sale = Sale.objects.get()
    assert [(line.name, line.grade) for line in sale.lines.all()] == [
        ("Berry bowl, shino", "first"),
        ("Tumbler, celadon", "first"),
        ("Tumbler, celadon", "second"),
    ]
    assert sale.payments.get().method == "card"


def test_a_held_piece_asks_first(today: Stall, counter: Page) -> None:
    """Left where it is, it is not sold; named, its hold ends."""
    hold = today.hold(today.bowl, 4)
    opened(counter)
    tile(counter, "Berry bowl").tap()
    expect(counter.get_by_text("Promise 12 is held here")).to_be_visible()
    counter.get_by_role("button", name="Leave it on the stall").tap()
    expect(counter.get_by_role("button", name="Cash")).to_be_disabled()
    tile(counter, "Berry bowl").tap()
    counter.get_by_role("button", name="Sell the piece of Promise 12").tap()
    pay_exactly(counter)
    sent(counter)
    hold.refresh_from_db()
    assert (hold.quantity, Sale.objects.count(), Unsettled.objects.count()) == (0, 1, 0)


def test_a_sale_is_undone_with_a_reason(today: Stall, counter: Page) -> None:
    """It stays in the list, marked, and the pot is back."""
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    sent(counter)
    counter.get_by_role("button", name="Undo sale 1").tap()
    counter.get_by_role("button", name="Rung up wrong").tap()
    expect(counter.locator("#log .undone")).to_contain_text("Undone: Rung up wrong")
    expect(tile(counter, "Tumbler")).to_contain_text("10 left")
    sent(counter)
    assert Undoing.objects.get().reason == "Rung up wrong"


def test_the_page_is_accessible_with_a_sale_in_it(today: Stall, counter: Page) -> None:
    """Tiles, till and the payment sheet, by the rules that a program can check."""
    # Colours are measured once the sheet has come up.
    counter.emulate_media(reduced_motion="reduce")
    tile(counter, "Tumbler").tap()
    counter.locator("#open-sale").tap()
    assert_accessible(counter)
    counter.get_by_role("button", name="Cash").tap()
    assert_accessible(counter)


def test_an_own_price_a_discount_a_tip_and_two_ways_to_pay(today: Stall, counter: Page) -> None:
    """A flawed tumbler for 30.00, ten per cent off the sale, 20.00 by card, a tip in cash."""
    tile(counter, "Tumbler").tap()
    counter.locator("#open-sale").tap()
    counter.get_by_role("button", name="Price…").tap()
    counter.get_by_label("Its own price a piece").fill("30")
    counter.get_by_role("button", name="Use this price").tap()
    expect(counter.locator("#price-wrong")).to_contain_text("Say why")
    counter.locator("#price-why").fill("A hairline")
    counter.get_by_role("button", name="Use this price").tap()
    counter.get_by_role("button", name="Discount or note…").tap()
    counter.get_by_label("Take off the sale").fill("10%")
    counter.locator("#whole-why").fill("A neighbour")
    counter.get_by_label("Note for the receipt").fill("For Ada, with thanks")
    counter.get_by_role("button", name="Use this", exact=True).tap()
    # 30.00 less 3.00 is 27.00, and 7.25 % of it 1.9575, half up 1.96.
    expect(counter.locator("#total")).to_have_text("$28.96")
    counter.get_by_role("button", name="Cash").tap()
    counter.get_by_text("A tip, or paid in parts").tap()
    counter.get_by_label("Part of it by card").fill("20")
    counter.get_by_label("Tip on top").fill("1.04")
    expect(counter.get_by_role("heading", name="Cash: $10.00")).to_be_visible()
    counter.get_by_role("button", name="$20.00").tap()
    expect(counter.locator("#last-figure")).to_have_text("Change $10.00")
    sent(counter)
    sale = Sale.objects.get()
    line = sale.lines.get()
    assert (line.unit_price, line.list_price, line.price_reason) == (3000, 3400, "A hairline")
    assert (sale.total, sale.discount, sale.discount_reason) == (2896, 300, "A neighbour")
    assert sale.note == "For Ada, with thanks"
    assert [(p.method, p.amount, p.tip, p.tendered, p.change) for p in sale.payments.all()] == [
        ("card", 2000, 0, None, 0),
        ("cash", 896, 104, 2000, 1000),
    ]


def test_the_last_sale_is_undone_by_one_tap_and_open_again(today: Stall, counter: Page) -> None:
    """The wrong pot was rung up: one tap, and the sale is there to be put right."""
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    counter.locator("#undo-last").tap()
    expect(counter.locator("#total")).to_have_text("$36.47")
    tile(counter, "Berry bowl").tap()
    pay_exactly(counter)
    sent(counter)
    expect(counter.locator("#log .undone")).to_have_count(1)
    assert [hasattr(sale, "undoing") for sale in Sale.objects.all()] == [True, False]
    assert Sale.objects.last().pieces == 2
    assert audit() == []


def test_a_helper_says_by_a_pin_that_they_sell(
    today: Stall, phone: Page, log_in: Callable[[Page, Any], None]
) -> None:
    """The owner's phone, the helper's sale."""
    pins.set_pin(user=today.helper, pin="2580", who=today.owner, now=clock.now())
    log_in(phone, today.owner)
    opened(phone)
    phone.get_by_text("This device", exact=True).tap()
    phone.get_by_role("button", name="Change…").tap()
    named = f"{today.helper}, seller {today.helper.pk}"
    phone.get_by_label("Who", exact=True).select_option(label=named)
    phone.get_by_label("Their PIN").fill("2580")
    phone.get_by_role("button", name="Sell", exact=True).tap()
    expect(phone.locator("#who-sells")).to_have_text(named)
    tile(phone, "Tumbler").tap()
    pay_exactly(phone)
    sent(phone)
    sale = Sale.objects.get()
    assert (sale.seller, sale.entry.who) == (today.helper, today.owner)
    phone.goto("about:blank")
