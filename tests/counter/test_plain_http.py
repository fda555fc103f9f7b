"""Over plain http on a local network: no service worker, no camera, and sales all the same."""

from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import BrowserType, Page, expect

from tests.browsing import PHONE, Faults
from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, sent, tile
from vendor.counter.models import Sale
from vendor.house import clock
from vendor.house.models import User

# What the browser does and keeps does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]

# The browser alone knows this name, and that it is this machine: to a browser, a name of the
# machine itself would be as good as https.
NAME = "stall.example"


@pytest.fixture
def plain(
    browser_type: BrowserType,
    browser_type_launch_args: dict[str, Any],
    live_server: Any,
    today: Stall,
    faults: Faults,
) -> Iterator[Page]:
    """A phone on which the helper logged in at an address that the browser doesn't trust."""
    # The browser says on every page how little it thinks of the address.
    faults.allow("Cross-Origin-Opener-Policy header has been ignored")
    args = [*browser_type_launch_args["args"], f"--host-resolver-rules=MAP {NAME} 127.0.0.1"]
    browser = browser_type.launch(**(browser_type_launch_args | {"args": args}))
    site = f"http://{NAME}:{urlsplit(live_server.url).port}"
    context = browser.new_context(base_url=site, locale="en-US", **PHONE)
    faults.watch(context)
    page = context.new_page()
    today.helper.set_password("a kiln full of pots")
    today.helper.save()
    enter(page, today.helper)
    opened(page)
    yield page
    page.goto("about:blank")
    browser.close()


def enter(page: Page, user: User) -> None:
    """Log in by the form, as people do: its cookies then are those of plain http."""
    page.goto("/login/")
    page.get_by_label("Name to log in with").fill(user.username)
    page.get_by_label("Password").fill("a kiln full of pots")
    page.locator("main").get_by_role("button", name="Log in").tap()
    expect(page.get_by_role("heading", name="Log in")).to_be_hidden()


def test_over_plain_http_the_page_says_that_it_has_to_stay_open(plain: Page) -> None:
    """And offers no camera; it was found that the browser takes the address for an unsafe one."""
    assert plain.evaluate("[isSecureContext, 'serviceWorker' in navigator]") == [False, False]
    expect(plain.locator("#sell[data-offline]")).to_be_attached()
    expect(plain.locator("#scan")).to_be_hidden()
    plain.get_by_text("This device", exact=True).tap()
    expect(plain.locator("#starts")).to_be_visible()
    expect(plain.locator("#starts")).to_contain_text(
        "can't be opened without a signal: keep it open"
    )


def test_over_plain_http_sales_are_kept_while_it_is_open_and_sent_later(
    today: Stall, plain: Page, faults: Faults
) -> None:
    """Without a signal, with a key of its own, on the disk: a reload with a signal sends them."""
    faults.allow("ERR_INTERNET_DISCONNECTED|Failed to load resource|request failed")
    plain.context.set_offline(True)
    for _ in range(2):
        tile(plain, "Tumbler").tap()
        pay_exactly(plain)
    expect(plain.locator("#state")).to_contain_text("2 sales kept on this device")
    assert Sale.objects.count() == 0
    plain.context.set_offline(False)
    plain.reload()
    sent(plain)
    keys = set(Sale.objects.values_list("key", flat=True))
    assert len(keys) == 2
    assert {len(key) for key in keys} == {32}
    assert Sale.objects.filter(sold_at__lte=clock.now(), seller=today.helper).count() == 2
