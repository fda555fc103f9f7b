"""The owner of a story: taps and types on a phone, by the words that stand there."""

import re

from playwright.sync_api import Locator, Page, expect


class Potter:
    """The owner with a phone: what they tap and type, in their own words."""

    def __init__(self, phone: Page) -> None:
        self.phone = phone
        phone.set_default_timeout(10_000)

    def tap(self, name: str | re.Pattern[str], role: str = "button") -> None:
        self.phone.get_by_role(role, name=name).first.click()  # type: ignore[arg-type]

    def field(self, label: str) -> Locator:
        """Return the field whose label is this, with or without its unit and “(required)”."""
        said = re.compile(rf"^{re.escape(label)}(,? \(?[\w ]+\)?)?( \(required\))?$")
        return self.phone.get_by_label(said).first

    def write(self, label: str, text: str) -> None:
        self.field(label).fill(text)

    def choose(self, label: str, option: str) -> None:
        self.field(label).select_option(label=option)

    def tick(self, label: str) -> None:
        self.phone.get_by_label(label).first.check()

    def sees(self, text: str | re.Pattern[str]) -> None:
        expect(self.phone.locator("main")).to_contain_text(text)

    def section(self, name: str) -> Locator:
        return self.phone.get_by_role("region", name=name)

    def row(self, text: str) -> Locator:
        return self.phone.get_by_role("row").filter(has_text=text).first
