"""The browser tests can fail: each kind of fault in a page is seen."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import Faults, assert_accessible
from tests.factories import UserFactory


@pytest.fixture(autouse=True)
def _small_pages(settings: Any) -> None:
    settings.ROOT_URLCONF = "tests.setup.pages"


def test_a_phone_is_narrow_and_touched(phone: Page) -> None:
    """The page believes that it's on a phone."""
    phone.goto("/page/whole")
    expect(phone.get_by_role("heading", name="Whole")).to_be_visible()
    assert phone.evaluate("[innerWidth, navigator.maxTouchPoints > 0]") == [412, True]
    assert_accessible(phone)


def test_a_laptop_is_wide(laptop: Page) -> None:
    """The page believes that it's on a laptop."""
    laptop.goto("/page/whole")
    assert laptop.evaluate("[innerWidth, navigator.maxTouchPoints > 0]") == [1280, False]


@pytest.mark.parametrize(
    ("page", "sign"),
    [
        ("inline", r"policy: style-src-attr inline"),
        ("missing", r"answer 404: .*nowhere\.js"),
        ("elsewhere", r"policy: img-src http://127\.0\.0\.1:9"),
        ("broken", r"page error: .*the handle came off"),
        ("grumbling", r"console: too much grog"),
    ],
)
def test_a_fault_is_seen(page: str, sign: str, laptop: Page, faults: Faults) -> None:
    """A broken policy, a missing file, an error: the test would fail, unless it says so."""
    laptop.goto(f"/page/{page}")
    laptop.wait_for_load_state("networkidle")
    assert faults.unexpected()
    faults.allow(sign)
    assert len(faults.unexpected()) < len(faults.seen)
    faults.allow(".")


def test_being_offline_is_a_fault_unless_meant(laptop: Page, faults: Faults) -> None:
    """A request that gets no answer is seen too."""
    laptop.goto("/page/whole")
    laptop.context.set_offline(True)
    laptop.evaluate("fetch('/page/whole').catch(() => null)")
    faults.allow("ERR_INTERNET_DISCONNECTED")
    assert len(faults.seen) == 2


def test_a_page_that_leaves_someone_out_is_seen(laptop: Page) -> None:
    """A field without a label can't be used by ear."""
    laptop.goto("/page/unlabelled")
    with pytest.raises(AssertionError, match="label"):
        assert_accessible(laptop)


def test_logging_in_reaches_marked_pages(phone: Page, log_in: Callable[[Page, Any], None]) -> None:
    """The short way past the log-in form leads to the same session."""
    log_in(phone, UserFactory(username="robin"))
    phone.goto("/who")
    expect(phone.get_by_text("robin")).to_be_visible()
