"""A phone that goes out right after a sale was shown as taken: a real browser, really killed."""

import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, BrowserType, Page, expect

from tests.browsing import PHONE, Faults
from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, sent, tile
from vendor.counter.models import Sale

# What the browser does and keeps does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]


def test_a_battery_that_dies_when_a_sale_is_shown_as_taken_loses_nothing(
    today: Stall,
    live_server: Any,
    browser_type: BrowserType,
    browser_type_launch_args: dict[str, Any],
    tmp_path: Path,
    log_in: Callable[[Page, Any], None],
    faults: Faults,
) -> None:
    """Nothing is closed and nothing is tidied up; switched on again, the device sends it."""
    faults.allow("ERR_INTERNET_DISCONNECTED|Failed to load resource|request failed")

    def switched_on() -> BrowserContext:
        context = browser_type.launch_persistent_context(
            tmp_path, base_url=live_server.url, locale="en-US", **PHONE, **browser_type_launch_args
        )
        faults.watch(context)
        return context

    context = switched_on()
    page = context.new_page()
    log_in(page, today.helper)
    opened(page)
    context.set_offline(True)
    tile(page, "Tumbler").tap()
    pay_exactly(page)
    with context.expect_event("close"):
        os.kill(_browser_of(tmp_path), signal.SIGKILL)
    assert Sale.objects.count() == 0

    again = switched_on()
    page = again.new_page()
    log_in(page, today.helper)
    opened(page)
    sent(page)
    assert (Sale.objects.count(), today.left(today.tumbler)) == (1, 9)
    expect(page.locator("#log")).to_contain_text("1: 1 × Tumbler, celadon")
    page.goto("about:blank")
    again.close()


def _browser_of(folder: Path) -> int:
    """Return the process of the browser that keeps its things in a folder."""
    wanted = f"--user-data-dir={folder}".encode()
    for process in Path("/proc").glob("[0-9]*"):
        try:
            words = (process / "cmdline").read_bytes().split(b"\0")
        except OSError:
            continue
        if wanted in words and not any(word.startswith(b"--type=") for word in words):
            return int(process.name)
    raise AssertionError("No browser keeps its things there.")
