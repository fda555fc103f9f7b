"""Counting one by one on a phone: scans, taps, a held piece, what is on no tag, no network."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import PHONE, Faults, assert_accessible
from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.counter.steps import scan
from tests.factories import FinishFactory, FormFactory, WareFactory
from vendor.closing.models import CountPass, StallCount
from vendor.ledger import holds
from vendor.ware.models import Ware

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Five tumblers on the stall, and a bowl beside them; one tumbler is held."""
    form, finish = (
        FormFactory(code="TUM", name="Tumbler"),
        FinishFactory(code="TEN", name="tenmoku"),
    )
    ware = WareFactory(form=form, finish=finish)
    stall.packs(ware, 5)
    stall.packs(WareFactory(form=FormFactory(code="BOWL", name="Berry bowl"), finish=finish), 2)
    holds.hold(
        key="h", ware_id=ware.pk, at=stall.place, purpose="commitment", label="Promise 12",
        who=stall.owner, now=SUNDAY_NIGHT,
    )  # fmt: skip
    return ware


def opened(page: Page, stall: Stall) -> None:
    """Open the page, and wait until it knows the tags."""
    page.goto(f"/close/weekends/{stall.first.pk}/count/one-by-one/")
    expect(page.locator("#tally[data-ready]")).to_be_attached()


def begun(page: Page, stall: Stall, kind: str = "", corner: str = "") -> None:
    """Open the page and begin a pass: the first time round unless told otherwise."""
    opened(page, stall)
    if kind:
        page.get_by_label(kind).check()
    page.get_by_label("What the corner is called").fill(corner)
    page.get_by_role("button", name="Begin").click()


@pytest.fixture
def counting(
    phone: Page, stall: Stall, tumbler: Ware, log_in: Callable[..., None]
) -> Iterator[Page]:
    """The page on the owner's phone, a first pass begun."""
    log_in(phone, stall.owner)
    begun(phone, stall)
    yield phone
    for page in phone.context.pages:
        page.goto("about:blank")


def sent(page: Page) -> None:
    """Wait until the server has every scan."""
    expect(page.locator("#state")).to_have_text("Everything is sent")


def test_scans_taps_and_the_held_piece_add_up_blind(
    counting: Page, stall: Stall, tumbler: Ware
) -> None:
    """Two scans, a tap and the promise's own tag are four; compared when the pass is ended."""
    said = counting.locator("#said")
    scan(counting, "tum-ten")
    expect(said).to_have_text("Tumbler, tenmoku: 1")
    scan(counting, "TUM-TEN")
    counting.locator("#pots button").filter(has_text="Tumbler").tap()
    expect(said).to_have_text("Tumbler, tenmoku: 3")
    scan(counting, "Promise 12")
    expect(said).to_have_text("Promise 12: Tumbler, tenmoku: 4")
    counting.get_by_role("button", name="It is here").tap()
    expect(said).to_have_text("Promise 12 is counted already.")
    sent(counting)
    expect(counting.locator("main")).not_to_contain_text("expected of")
    counting.emulate_media(reduced_motion="reduce")
    assert_accessible(counting)
    counting.get_by_role("button", name="End this pass").tap()
    row = counting.locator(f"#w{tumbler.pk}-first")
    expect(row).to_contain_text("4 counted by Tansy")
    expect(row).to_contain_text("1 missing of 5 expected")
    assert StallCount.objects.filter(held__isnull=False).count() == 1


def test_a_slip_is_taken_back_and_an_unknown_code_is_kept(counting: Page, stall: Stall) -> None:
    """The last scan goes; the code waits on the page, over a reload too, until it is put aside."""
    scan(counting, "TUM-TEN")
    scan(counting, "BOWL-TEN")
    sent(counting)
    counting.get_by_role("button", name="Undo the last").tap()
    expect(counting.locator("#said")).to_have_text("Taken back. Berry bowl, tenmoku: 0")
    scan(counting, "4006381333931")
    expect(counting.locator("#said")).to_have_text("No tag says “4006381333931”. It is kept.")
    sent(counting)
    counting.reload()
    expect(counting.locator("#open")).to_contain_text("4006381333931 is on no tag")
    expect(counting.locator("#mine li")).to_have_text(["Tumbler, tenmoku1"])
    counting.get_by_role("button", name="End this pass").tap()
    expect(counting.locator("#end-told")).to_contain_text("settle first what stands open")
    counting.get_by_role("button", name="Put it aside").tap()
    counting.get_by_role("button", name="End this pass").tap()
    expect(counting.get_by_role("heading", name="Count the stall")).to_be_visible()
    assert CountPass.objects.get().ended_by == stall.owner


def test_without_a_network_every_scan_is_kept_and_counted_once(
    counting: Page, stall: Stall, tumbler: Ware, faults: Faults
) -> None:
    """The page says what waits; when the network is back all of it is sent."""
    faults.allow("ERR_INTERNET_DISCONNECTED")
    scan(counting, "TUM-TEN")
    sent(counting)
    counting.context.set_offline(True)
    for _ in range(3):
        scan(counting, "TUM-TEN")
    expect(counting.locator("#state")).to_contain_text("No signal: 3 not sent yet, kept")
    expect(counting.locator("#said")).to_have_text("Tumbler, tenmoku: 4")
    counting.context.set_offline(False)
    expect(counting.locator("#state")).to_have_text("Everything is sent", timeout=20_000)
    line = stall.line(tumbler)
    assert line is not None
    assert line.tally is not None
    assert (line.tally.counted, StallCount.objects.count()) == (4, 4)


def test_two_people_count_at_once_and_say_how_theirs_stand(
    counting: Page,
    open_page: Callable[..., Page],
    stall: Stall,
    tumbler: Ware,
    helper: Any,
    log_in: Callable[..., None],
) -> None:
    """The helper's are asked about, stand elsewhere, and add; a corner of its own adds unasked."""
    scan(counting, "TUM-TEN")
    scan(counting, "TUM-TEN")
    sent(counting)
    other = open_page(**PHONE)
    log_in(other, helper)
    begun(other, stall)
    scan(other, "TUM-TEN")
    scan(other, "TUM-TEN")
    question = other.locator("#open li")
    expect(question).to_contain_text("Tumbler, tenmoku: 2 Counted already by Tansy.")
    expect(other.locator("#state")).to_contain_text("2 not sent yet")
    assert_accessible(other)
    question.get_by_role("button", name="They stand elsewhere too").tap()
    sent(other)
    other.goto("about:blank")
    scan(counting, "TUM-TEN")
    sent(counting)
    expect(counting.locator("#said")).to_have_text("Tumbler, tenmoku: 3")
    line = stall.line(tumbler)
    assert line is not None
    assert line.tally is not None
    assert [(part.pieces, str(part.who)) for part in line.tally.parts] == [
        (3, "Tansy"),
        (2, "Robin"),
    ]


def test_a_number_for_another_corner_is_added_on_the_count_page(
    phone: Page, stall: Stall, tumbler: Ware, log_in: Callable[..., None]
) -> None:
    """Three on the table and two on the back shelf: both are told, and five are as expected."""
    log_in(phone, stall.owner)
    phone.goto(f"/close/weekends/{stall.first.pk}/count/")
    row = phone.locator(f"#w{tumbler.pk}-first")
    row.locator("input[type=number]").fill("3")
    row.get_by_role("button", name="Counted :").tap()
    expect(row).to_contain_text("2 missing of 5 expected")
    phone.get_by_text("The same ware stands in two corners").tap()
    phone.get_by_label("What the other corner is called").fill("The back shelf")
    row.locator("input[type=number]").fill("2")
    row.get_by_role("button", name="Also elsewhere").tap()
    expect(row).to_contain_text("5 counted (3 by Tansy")
    expect(row).to_contain_text("2 by Tansy, The back shelf")
    expect(row).to_contain_text("as expected")
    expect(phone.locator("[data-counted]")).to_have_text("1")
    assert_accessible(phone)
