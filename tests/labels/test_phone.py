"""With one hand, on a phone: after a kiln is unloaded, its tags are printed."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browsing import assert_accessible
from tests.firings.kiln import fired
from tests.labels.reading import cut_out, decode, picture, words
from tests.labels.shop import NOON, owner, priced
from vendor.labels.models import LabelSheet, PrintRun

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LogIn = Callable[[Page, Any], None]


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand at noon of the second of December."""
    monkeypatch.setattr("vendor.house.clock.now", lambda: NOON)


def first_label(page: Page) -> Locator:
    """The field of the first label to print on."""
    return page.get_by_role("spinbutton", name="First label to print on")


def test_after_unloading_a_firing_its_tags_are_printed(phone: Page, log_in: LogIn) -> None:
    """Unload, look it over, begin at label 5 of a begun sheet, print, open: the bars scan."""
    ware = priced()
    firing = fired((ware, 6))
    log_in(phone, owner())
    phone.goto(f"/fire/{firing.pk}/unload/")
    phone.get_by_role("button", name="Put on the shelf").click()
    phone.get_by_role("link", name="Print its tags").click()
    expect(phone.locator("[data-total]")).to_have_text("6")
    phone.get_by_role("button", name="One fewer: Tags for Tumbler, celadon").click()
    expect(phone.locator("[data-total]")).to_have_text("5")
    phone.locator("[data-label='5'] rect").tap()
    expect(first_label(phone)).to_have_value("5")
    expect(phone.locator("[data-label='4']")).to_have_class("used")
    phone.get_by_role("button", name="Look it over").click()
    expect(phone.get_by_role("heading", name="5 tags on 1 page")).to_be_visible()
    expect(phone.get_by_role("img", name="The first page, 5 tags")).to_be_visible()
    assert_accessible(phone)
    phone.get_by_role("button", name="Print", exact=True).click()
    expect(phone.get_by_role("heading", name="5 tags to print")).to_be_visible()
    assert_accessible(phone)
    address = phone.get_by_role("link", name="Open the PDF").get_attribute("href")
    data = phone.request.get(str(address)).body()
    on_paper = words(phone.pdf())
    assert "5 tags to print" in on_paper
    assert "never printed" not in on_paper
    page = picture(data, 1, 300)
    sheet = LabelSheet.objects.all()[0].sheet
    found = [decode(cut_out(page, frame, 300)) for frame in sheet.frames_on_page(1, 6, 4)]
    assert found == [None, *[ware.code] * 5]
    phone.go_back()
    phone.get_by_role("button", name="Print", exact=True).click()
    expect(phone.get_by_role("heading", name="5 tags to print")).to_be_visible()
    assert PrintRun.objects.count() == 1


def test_another_sheet_is_drawn_at_once(phone: Page, log_in: LogIn) -> None:
    """The labels to tap are those of the sheet that is chosen."""
    priced()
    log_in(phone, owner())
    phone.goto("/tags/")
    expect(phone.locator("[data-label]")).to_have_count(30)
    other = LabelSheet.objects.all()[11]
    phone.get_by_label("Sheet of labels").select_option(str(other.pk))
    expect(phone.locator("[data-label]")).to_have_count(65)
    first_label(phone).fill("60")
    expect(phone.locator("[data-label='60']")).to_have_class("first")


def test_the_other_pages_of_tags_have_no_barrier(phone: Page, log_in: LogIn) -> None:
    """Sheets, printers, numbers, what was printed, what the tags say."""
    priced()
    log_in(phone, owner())
    sheet = f"settings/sheets/{LabelSheet.objects.all()[0].pk}/"
    setup = ["settings/", "settings/sheets/new/", sheet, "settings/printers/new/"]
    for path in [*setup, "settings/numbers/", "runs/", "state/", "?kind=talker"]:
        phone.goto(f"/tags/{path}")
        assert_accessible(phone)
