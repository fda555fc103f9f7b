"""The look in a browser: axe finds nothing, nothing runs off, nothing hides under a bar."""

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, Page, expect

from tests.factories import OwnerFactory, StudioFactory

# What a page looks like does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.urls("tests.house.style.urls"),
]
PHONE, LAPTOP, NARROW = (412, 915), (1280, 800), (320, 640)
PAGES = ["/", "/wrong/", "/list/?sort=-price", "/list/?none=1", "/stall/", "/restock/index/"]


class Visitor:
    """The owner, logged in, with a browser window of any size and palette."""

    def __init__(self, browser: Browser, address: str, session: str) -> None:
        self.browser, self.address, self.session = browser, address, session
        self.complaints: list[str] = []

    def open(self, path: str, size: tuple[int, int], palette: Any = "light", **more: Any) -> Page:
        """Return a page in a window of its own; what it complains of is kept."""
        context = self.browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            color_scheme=palette,
            reduced_motion="reduce",
            **more,
        )
        context.add_cookies([{"name": "sessionid", "value": self.session, "url": self.address}])
        page = context.new_page()
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", self._note)
        page.goto(self.address + path)
        return page

    def _note(self, message: Any) -> None:
        if "Content Security Policy" in message.text or "Refused" in message.text:
            self.complaints.append(message.text)


@pytest.fixture
def owner(browser: Browser, live_server: Any, client: Client) -> Iterator[Visitor]:
    """The owner at the style pages."""
    StudioFactory()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    visitor = Visitor(browser, live_server.url, client.cookies["sessionid"].value)
    yield visitor
    for context in browser.contexts:
        context.close()
    assert visitor.complaints == []


@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("palette", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP])
def test_axe_finds_nothing(owner: Visitor, path: str, palette: str, size: tuple[int, int]) -> None:
    """No violation in either palette, at the stall or at home."""
    page = owner.open(path, size, palette)
    report = Axe().run(page)
    assert report.violations_count == 0, report.generate_report()


@pytest.mark.parametrize("palette", ["light", "dark"])
def test_axe_finds_nothing_with_the_round_open(owner: Visitor, palette: str) -> None:
    """The sheet of the phone is as good as the page."""
    page = owner.open("/restock/index/", PHONE, palette)
    page.locator(".bar button").click()
    expect(page.locator("#round")).to_be_visible()
    report = Axe().run(page)
    assert report.violations_count == 0, report.generate_report()


@pytest.mark.parametrize("path", PAGES)
def test_nothing_runs_off_a_narrow_page(owner: Visitor, path: str) -> None:
    """At 320 px there is one way to scroll (WCAG 2.2, 1.4.10)."""
    page = owner.open(path, NARROW)
    beyond = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert beyond == 0


@pytest.mark.parametrize("path", ["/", "/list/", "/stall/"])
def test_what_is_tapped_is_large_enough(owner: Visitor, path: str) -> None:
    """44 px for what acts on a phone; 24 px for links in text and heads (WCAG 2.2, 2.5.8)."""
    page = owner.open(path, PHONE)
    small = page.evaluate(
        """() => [...document.querySelectorAll(
             '.btn, .bar a, .bar button, .plank button, .plank a, .stepper button, input, select')]
           .filter(e => e.offsetParent && !e.closest('[popover]'))
           .map(e => [e.outerHTML.slice(0, 60), e.type, e.getBoundingClientRect()])
           .filter(([, type, box]) => box.height < (/checkbox|radio/.test(type) ? 24 : 44)
                                      || box.width < (/checkbox|radio/.test(type) ? 24 : 44))
           .map(([name]) => name)"""
    )
    assert small == []


@pytest.mark.parametrize("path", ["/", "/stall/"])
def test_the_focus_is_never_under_a_bar(owner: Visitor, path: str) -> None:
    """Tabbing through a page, what has the focus is not hidden (WCAG 2.2, 2.4.11)."""
    page = owner.open(path, PHONE)
    hidden = []
    for _ in range(60):
        page.keyboard.press("Tab")
        told = page.evaluate(
            """() => {
              const e = document.activeElement;
              if (!e || e === document.body || e.closest('.bar, .till, .skip')) return null;
              const box = e.getBoundingClientRect();
              const bars = [...document.querySelectorAll('.bar, .till')]
                .map(bar => bar.getBoundingClientRect().top);
              return box.top >= Math.min(...bars) ? e.outerHTML.slice(0, 80) : null;
            }"""
        )
        if told:
            hidden.append(told)
    assert hidden == []


def test_the_round_opens_and_closes_by_keyboard(owner: Visitor) -> None:
    """Enter opens it, its entries come next, Escape closes it and gives the focus back."""
    page = owner.open("/", PHONE)
    button = page.locator(".bar button")
    button.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#round")).to_be_visible()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('#round') !== null")
    page.keyboard.press("Escape")
    expect(page.locator("#round")).to_be_hidden()
    expect(button).to_be_focused()


def test_a_count_has_thumbs_that_keep_its_bounds(owner: Visitor) -> None:
    """One more, one fewer, never below the least; the field itself can still be typed in."""
    page = owner.open("/", PHONE)
    field = page.get_by_label("Pieces loaded", exact=False).and_(page.locator("input"))
    page.get_by_role("button", name="One more: Pieces loaded").click()
    expect(field).to_have_value("15")
    field.fill("0")
    fewer = page.get_by_role("button", name="One fewer: Pieces loaded")
    expect(fewer).to_have_attribute("aria-disabled", "true")
    fewer.click(force=True)
    expect(field).to_have_value("0")


BESIDE = """
const field = document.createElement("input");
Object.assign(field, { id: "beside", className: "count", type: "text" });
field.addEventListener("change", () => { field.dataset.changed = "yes"; });
document.querySelector("main").append(field);
"""


def test_thumbs_that_come_late_leave_a_number_half_typed_alone(owner: Visitor) -> None:
    """A quick user types before the page is done: no focus is lost, and no half number sent."""
    page = owner.open("/", PHONE)
    page.evaluate(BESIDE)
    field = page.locator("#beside")
    field.focus()
    page.keyboard.type("1")
    page.evaluate("window.wareboard.thumbs(document)")
    page.keyboard.type("7")
    expect(field).to_be_focused()
    expect(field).to_have_value("17")
    expect(page.locator(".stepper > #beside")).to_be_visible()
    assert field.get_attribute("data-changed") is None


def test_a_refused_form_shows_why_first(owner: Visitor) -> None:
    """The summary has the focus, and its links lead to the fields."""
    page = owner.open("/wrong/", PHONE)
    expect(page.locator(".summary")).to_be_focused()
    page.locator(".summary a", has_text="Pieces loaded").click()
    expect(page.locator("#id_pieces")).to_be_in_viewport()


def test_a_table_that_fits_is_no_stop_for_the_keyboard(owner: Visitor) -> None:
    """A region is focused to be scrolled; without a need it is passed over."""
    page = owner.open("/list/", LAPTOP)
    assert page.locator(".scroll").get_attribute("tabindex") is None


def test_pages_work_without_scripts(owner: Visitor) -> None:
    """The round opens, counts can be typed, lists can be narrowed."""
    page = owner.open("/list/", PHONE, java_script_enabled=False)
    page.locator(".bar button").click()
    expect(page.locator("#round")).to_be_visible()
    page.locator("#round .btn", has_text="Back to the page").click()
    page.locator(".seek summary").click()
    page.locator("select[name=finish]").select_option("ash")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.locator("tbody tr").first).to_contain_text("ash")


def test_paper_shows_the_page_and_nothing_to_press(owner: Visitor) -> None:
    """Printed, there is no navigation and no button, and the ink is black on white."""
    page = owner.open("/list/", LAPTOP, "dark")
    page.emulate_media(media="print", color_scheme="dark")
    for gone in (".way", ".acts", ".seek", ".pages", ".skip"):
        expect(page.locator(gone).first).to_be_hidden()
    ink = page.evaluate("getComputedStyle(document.body).color")
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert (ink, ground) == ("rgb(0, 0, 0)", "rgb(255, 255, 255)")
