"""What is unsent is handed over by file, whatever it is."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import Faults
from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, sent, tile
from vendor.counter.models import Sale

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_unsent_undoings_alone_are_handed_over_by_file(
    today: Stall,
    counter: Page,
    open_page: Callable[..., Page],
    log_in: Callable[[Page, Any], None],
    faults: Faults,
    tmp_path: Any,
) -> None:
    """The sale is sent, the undoing isn't: the owner's device takes it in, once."""
    faults.allow("ERR_INTERNET_DISCONNECTED|Failed to load resource|request failed")
    tile(counter, "Tumbler").tap()
    pay_exactly(counter)
    sent(counter)
    counter.get_by_text("This device", exact=True).tap()
    expect(counter.get_by_role("button", name="Nothing to save")).to_be_disabled()
    counter.context.set_offline(True)
    counter.get_by_role("button", name="Undo sale 1").tap()
    counter.get_by_role("button", name="Rung up wrong").tap()
    with counter.expect_download() as download:
        counter.get_by_role("button", name="Save 1 entry to a file").tap()
    saved = tmp_path / "undoing.json"
    download.value.save_as(saved)
    other = open_page()
    log_in(other, today.owner)
    opened(other)
    other.get_by_text("This device", exact=True).click()
    other.get_by_label("Take in another device's file").set_input_files(saved)
    expect(other.locator("#log .undone")).to_contain_text("Undone: Rung up wrong")
    sent(other)
    assert Sale.objects.get().undoing.who == today.helper
    counter.context.set_offline(False)
    counter.reload()
    sent(counter)
    assert today.left(today.tumbler) == 10
    other.goto("about:blank")
