"""A kiln load from the recording to the shelf, on a phone, with one hand."""

import datetime
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import assert_accessible
from tests.factories import FinishFactory, FormFactory, WareFactory, shelf
from tests.firings.kiln import fired, kiln, owner
from vendor.firings.models import Firing
from vendor.ledger.models import Balance, Entry

# The browser's pages stand at the machine's own day.
LATELY = datetime.datetime.now(tz=datetime.UTC).date() - datetime.timedelta(days=2)
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def studio(phone: Page, log_in: Callable[[Page, Any], None]) -> Page:
    """A phone on which the owner is logged in, of a studio with a kiln and two sorts of ware."""
    log_in(phone, owner())
    kiln()
    tumbler = FormFactory(name="Tumbler", code="TUM", height_mm=115, width_mm=85)
    for name, code in (("celadon", "CEL"), ("tenmoku", "TEN")):
        WareFactory(form=tumbler, finish=FinishFactory(name=name, code=code))
    return phone


def test_a_firing_goes_from_the_book_to_the_shelf(studio: Page) -> None:
    """Found by name, counted with the thumb, unloaded: a second and a loss come off the firsts."""
    studio.goto("/fire/")
    studio.get_by_role("link", name="Record a glaze firing").first.click()
    studio.get_by_label("Kiln", exact=True).select_option(label="Front loader")
    studio.get_by_label("Cone aimed at").fill("5.5")
    studio.get_by_label("Fired on").fill(str(LATELY))
    studio.get_by_label("Find ware by name or code").fill("ceLÁdon")
    expect(studio.get_by_label("Tumbler, tenmoku", exact=True)).to_be_hidden()
    more = studio.get_by_role("button", name="One more: Tumbler, celadon")
    for _ in range(3):
        more.tap()
    studio.get_by_label("Find ware by name or code").fill("")
    studio.get_by_label("Tumbler, tenmoku", exact=True).fill("12")
    expect(studio.locator(".till")).to_contain_text("15 pieces loaded")
    assert_accessible(studio)
    studio.get_by_role("button", name="Save the firing").tap()
    expect(studio.get_by_role("heading", level=1)).to_have_text("Firing 1: glaze, cone 5½")
    assert_accessible(studio)

    studio.get_by_role("link", name="Unload", exact=True).tap()
    studio.get_by_role("button", name="One more: Seconds: Tumbler, celadon").tap()
    lost = studio.get_by_role("region", name="Tumbler, celadon").locator("summary")
    lost.tap()
    studio.get_by_role("button", name="One more: Cracked: Tumbler, celadon").tap()
    expect(studio.get_by_label("Firsts: Tumbler, celadon", exact=True)).to_have_value("1")
    expect(lost).to_contain_text("Lost: 1")
    expect(studio.locator(".till")).to_contain_text("13 firsts, 1 second, 1 lost")
    assert_accessible(studio)
    studio.get_by_role("button", name="Put on the shelf").tap()

    expect(studio.get_by_text("is unloaded on to the studio shelf")).to_be_visible()
    counted = {
        (row.ware.code, row.grade): row.on_hand
        for row in Balance.objects.filter(place=shelf()).select_related("ware")
    }
    assert counted == {("TUM-CEL", "first"): 1, ("TUM-CEL", "second"): 1, ("TUM-TEN", "first"): 12}


def test_a_line_that_does_not_add_up_is_told_before_and_after_it_is_sent(
    studio: Page, faults: Any
) -> None:
    """The page counts along; the server refuses, names the line and keeps what was typed."""
    faults.allow("409")
    ware = WareFactory(own_name="Salt pig, ash")
    firing = fired((ware, 6), fired_on=LATELY)
    studio.goto(f"/fire/{firing.pk}/unload/")
    line = studio.get_by_role("region", name="Salt pig, ash")
    studio.get_by_label("Firsts: Salt pig, ash", exact=True).fill("4")
    expect(line).to_contain_text("2 too few")
    studio.get_by_role("button", name="Put on the shelf").tap()
    expect(studio.get_by_role("alert")).to_contain_text("Salt pig, ash: 6 went in")
    expect(studio.get_by_label("Firsts: Salt pig, ash", exact=True)).to_have_value("4")
    assert Firing.objects.get(pk=firing.pk).is_open


def test_two_taps_and_the_back_button_unload_once(studio: Page) -> None:
    """The way back leads to the firing as it is, and nothing is entered twice."""
    ware = WareFactory()
    firing = fired((ware, 6), fired_on=LATELY)
    studio.goto(f"/fire/{firing.pk}/unload/")
    studio.get_by_role("button", name="Put on the shelf").dblclick()
    expect(studio.get_by_text("is unloaded on to the studio shelf")).to_be_visible()
    studio.go_back()
    expect(studio.get_by_text("is not to be unloaded any more")).to_be_visible()
    assert Entry.objects.count() == 1
    assert Balance.objects.get(ware=ware).on_hand == 6


def test_a_kiln_is_loaded_without_scripts(
    studio: Page, open_page: Callable[..., Page], log_in: Callable[[Page, Any], None]
) -> None:
    """The whole list stands there, and the server does the sums."""
    plain = open_page(java_script_enabled=False)
    log_in(plain, owner())
    plain.goto("/fire/new/glaze/")
    plain.get_by_label("Kiln", exact=True).select_option(label="Front loader")
    plain.get_by_label("Cone aimed at").fill("6")
    plain.get_by_label("Fired on").fill(str(LATELY))
    plain.get_by_label("Tumbler, tenmoku", exact=True).fill("5")
    plain.get_by_role("button", name="Save the firing").click()
    expect(plain.get_by_role("heading", level=1)).to_have_text("Firing 1: glaze, cone 6")
    plain.get_by_role("link", name="Unload", exact=True).click()
    plain.get_by_role("button", name="Put on the shelf").click()
    assert Balance.objects.get().on_hand == 5
