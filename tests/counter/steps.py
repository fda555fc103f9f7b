"""What a person does at the stall's page in a browser, step by step."""

from typing import Any

from playwright.sync_api import Page, expect


def opened(page: Page) -> None:
    """Open the page and wait until it is ready to sell."""
    page.goto("/sell/")
    expect(page.locator("#sell[data-ready]")).to_be_attached()


def tile(page: Page, name: str) -> Any:
    """Return the first tile with a name."""
    return page.locator("#tiles button").filter(has_text=name).first


def scan(page: Page, code: str) -> None:
    """Type as a scanner does: wherever the focus is, ended by Enter."""
    page.keyboard.type(code)
    page.keyboard.press("Enter")


def pay_exactly(page: Page) -> None:
    """Take the exact sum in cash, and see that the sale is taken."""
    page.get_by_role("button", name="Cash").tap()
    page.get_by_role("button", name="Exactly").tap()
    expect(page.locator("#last-told")).to_be_visible()


def sent(page: Page) -> None:
    """Wait until the server has every sale."""
    expect(page.locator("#state")).to_have_text("Every sale is sent")
