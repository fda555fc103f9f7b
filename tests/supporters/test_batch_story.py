"""A batch on a phone, from the wheel to the shelf, with a promise kept from it.

By hand: 6 tumblers are thrown, 1 warps as it dries, 1 cracks in the bisque; 4 go into the glaze
firing in celadon, 3 firsts come out and 1 is lost: 6 = 3 lost + 3 out.
"""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import assert_accessible
from tests.factories import FinishFactory, FormFactory, WareFactory, shelf
from tests.firings.kiln import kiln, owner
from tests.supporters.makers import at, promised
from vendor.firings.models import Batch
from vendor.house import clock
from vendor.supporters import actions
from vendor.supporters.models import Commitment
from vendor.ware.models import Ware

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def promise(phone: Page, log_in: Callable[[Page, Any], None]) -> Commitment:
    """A promised tumbler in celadon, in a studio with a kiln and none on the shelf."""
    who = owner()
    log_in(phone, who)
    kiln()
    tumbler = FormFactory(name="Tumbler", code="TUM", height_mm=115, width_mm=85)
    ware = WareFactory(form=tumbler, finish=FinishFactory(name="celadon", code="CEL"))
    ines = actions.add_supporter(key="ines", name="Ines Quill", who=who, now=clock.now())
    return promised(ines, ware, who, now=clock.now())


def test_a_promise_is_kept_from_a_batch(phone: Page, promise: Commitment) -> None:
    """Thrown, trimmed, dry, bisque, glazed, unloaded, held; every piece is accounted for."""
    begin(phone)
    put_the_promise_in(phone)
    move_on(phone)
    fire_bisque(phone)
    fire_glaze(phone)
    phone.get_by_role("link", name="Set aside for promises").tap()
    phone.get_by_role("button", name="Hold one").tap()
    expect(phone.get_by_text("a piece is held for Ines")).to_be_visible()
    ware = Ware.objects.get()
    assert at(shelf(), ware) == (3, 1)
    promise.refresh_from_db()
    assert promise.state == Commitment.State.HELD
    batch = Batch.objects.get()
    assert (batch.lost, batch.out, batch.left, batch.state) == (3, 3, 0, "Unloaded")
    phone.goto("/fire/batches/over/")
    expect(phone.get_by_role("link", name="Batch 1")).to_be_visible()


def begin(phone: Page) -> None:
    phone.goto("/fire/")
    phone.get_by_role("link", name="On the way").tap()
    expect(phone.get_by_text("Nothing is on the way")).to_be_visible()
    phone.get_by_role("link", name="Begin a batch").last.tap()
    phone.locator("#id_form").select_option(label="Tumbler")
    phone.get_by_label("Pieces", exact=True).fill("6")
    assert_accessible(phone)
    # Two taps begin one batch.
    phone.get_by_role("button", name="It is thrown").dblclick()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Batch 1: Tumbler")


def put_the_promise_in(phone: Page) -> None:
    phone.get_by_role("link", name="Promises from this batch").tap()
    phone.get_by_role("button", name="Make it of these").tap()
    expect(phone.get_by_text("Batch 1, 6 × tumbler, thrown since today").first).to_be_visible()
    assert_accessible(phone)
    phone.get_by_role("link", name="Batch 1", exact=True).first.tap()


def move_on(phone: Page) -> None:
    phone.get_by_role("button", name="It is trimmed now").tap()
    expect(phone.get_by_text("Batch 1 is trimmed since today, 6 left.")).to_be_visible()
    phone.locator("summary").filter(has_text="It got further on another day").tap()
    phone.locator("#move_lost").fill("1")
    phone.locator("#move_cause").select_option(label="Warped")
    phone.get_by_role("button", name="Move it on").tap()
    expect(phone.get_by_text("Batch 1 is dry since today, 5 left.")).to_be_visible()
    assert_accessible(phone)


def fire_bisque(phone: Page) -> None:
    phone.get_by_role("link", name="Load into a bisque firing").tap()
    phone.get_by_label("Kiln", exact=True).select_option(label="Front loader")
    phone.get_by_label("Cone aimed at").fill("06")
    expect(phone.locator(".till")).to_contain_text("5 pieces loaded")
    assert_accessible(phone)
    phone.get_by_role("button", name="Save the firing").tap()
    phone.get_by_role("link", name="Unload", exact=True).tap()
    line = phone.get_by_role("region", name="Tumbler (Batch 1)")
    line.locator("summary").tap()
    phone.get_by_role("button", name="One more: Cracked: Tumbler (Batch 1)").tap()
    phone.get_by_role("button", name="Count it out").dblclick()
    phone.get_by_role("link", name="Batch 1").tap()
    expect(phone.get_by_text("Bisque since today")).to_be_visible()


def fire_glaze(phone: Page) -> None:
    phone.get_by_role("link", name="Load into a glaze firing").tap()
    phone.get_by_label("Kiln", exact=True).select_option(label="Front loader")
    phone.get_by_label("Cone aimed at").fill("6")
    # What is looked for unfolds its batch; one tap takes all of it.
    phone.get_by_label("Find ware by name or code").fill("celadon")
    phone.get_by_role("button", name="All that are left: Tumbler, celadon, from batch 1").tap()
    expect(phone.get_by_label("Tumbler, celadon, from batch 1", exact=True)).to_have_value("4")
    expect(phone.locator(".till")).to_contain_text("4 pieces loaded")
    assert_accessible(phone)
    phone.get_by_role("button", name="Save the firing").tap()
    expect(phone.get_by_text("from Batch 1")).to_be_visible()
    phone.get_by_role("link", name="Unload", exact=True).tap()
    line = phone.get_by_role("region", name="Tumbler, celadon (Batch 1)")
    line.locator("summary").tap()
    phone.get_by_role("button", name="One more: Stuck to the shelf").tap()
    phone.get_by_role("button", name="Put on the shelf").dblclick()
    expect(phone.get_by_text("is unloaded on to the studio shelf")).to_be_visible()
