"""A weekend of two days and two cash boxes, counted on Saturday and on Sunday night, and closed.

Every figure is worked by hand.

    first     150.00 float + 60.00 sold = 210.00; 209.00 counted: 1.00 short; 59.00 taken home
              150.00 + 30.00 sold - 10.00 moved = 170.00 counted, as expected
    second    50.00 float + 40.00 sold = 90.00 counted, as expected; 40.00 taken home
              50.00 + 25.00 sold + 10.00 moved = 85.00; 85.50 counted: 0.50 over
    together  0.50 short
"""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
import time_machine
from playwright.sync_api import Page, expect

from tests.browsing import Faults, assert_accessible
from tests.closing.makers import (
    SATURDAY_NIGHT,
    SATURDAY_NOON,
    SUNDAY_NIGHT,
    SUNDAY_NOON,
    Stall,
)
from tests.factories import OwnerFactory, PriceFactory
from tests.fairs.makers import a_fair, weekends_of
from tests.stories.potter import Potter
from vendor.closing.models import Closing
from vendor.ledger.audit import audit
from vendor.ware.models import Ware

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def stall() -> Stall:
    """The stall on its first Saturday."""
    owner = OwnerFactory()
    return Stall(owner, *weekends_of(a_fair(owner), owner, count=2))


@pytest.fixture
def ware(stall: Stall) -> Ware:
    """Ten pots on it."""
    ware: Ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    return ware


@pytest.fixture
def clock() -> Iterator[Any]:
    """A clock that the story moves on."""
    with time_machine.travel(SATURDAY_NOON, tick=True) as traveller:
        yield traveller


def test_two_tills_are_counted_on_both_nights_and_closed(
    phone: Page, stall: Stall, ware: Ware, clock: Any, log_in: Callable[..., None], faults: Faults
) -> None:
    """Opened, floated, counted blind by night, explained, taken home, moved between, closed."""
    log_in(phone, stall.owner)
    potter, home = Potter(phone), f"/close/weekends/{stall.first.pk}/"
    opens(potter)
    stall.sells(ware, amount=60_00)
    stall.sells(ware, amount=40_00, till=2)

    clock.move_to(SATURDAY_NIGHT)
    phone.goto(f"{home}cash/")
    phone.get_by_text("Count each night for itself").click()
    potter.tap("Saturday night", "link")
    counts(potter, "209", short="1.00")
    assert_accessible(phone)
    explains(potter, "Why it is short", "Gave too much change")
    takes_home(potter, "59.00")
    expect(phone.locator("main")).to_contain_text("$150.00 stays in it")
    potter.tap("Second box", "link")
    phone.get_by_text("Count each night for itself").click()
    potter.tap("Saturday night", "link")
    counts(potter, "90")
    takes_home(potter, "40.00")

    clock.move_to(SUNDAY_NOON)
    stall.sells(ware, amount=30_00, at=SUNDAY_NOON)
    stall.sells(ware, amount=25_00, at=SUNDAY_NOON, till=2)
    moves(potter)

    clock.move_to(SUNDAY_NIGHT)
    phone.goto(f"{home}cash/")
    counts(potter, "170")
    potter.tap("Second box", "link")
    counts(potter, "85.50", over="0.50")
    explains(potter, "Why it is over", "A customer left it")
    stall.counts(ware, 6)
    phone.goto(home)
    expect(phone.locator("main")).to_contain_text("Together $0.50 short")
    assert_accessible(phone)
    potter.tap("Close the weekend")
    expect(phone.locator("main")).to_contain_text("Second box, Saturday night")
    assert_accessible(phone)
    closed()


def opens(potter: Potter) -> None:
    """Open the second cash box, and enter both floats."""
    potter.phone.goto("/sell/cash/")
    potter.phone.get_by_text("A second cash box").click()
    potter.write("What it is called", "Second box")
    potter.tap("Open the cash box")
    for box, amount in (("Cash box", "150"), ("Second box", "50")):
        potter.choose("Cash box", box)
        potter.phone.get_by_label("Float", exact=True).check()
        potter.write("Amount", amount)
        potter.tap("Enter it")
        expect(potter.phone.locator("main")).to_contain_text(f"${amount}.00")
    assert_accessible(potter.phone)


def moves(potter: Potter) -> None:
    """Move ten from the first box to the second."""
    potter.phone.goto("/sell/cash/")
    potter.phone.get_by_label("Moved to another cash box").check()
    potter.choose("Moved to", "Second box")
    potter.write("Amount", "10")
    potter.tap("Enter it")
    expect(potter.phone.locator("main")).to_contain_text("from Cash box")


def counts(potter: Potter, amount: str, *, short: str = "", over: str = "") -> None:
    """Count a till, and see how it compares."""
    potter.write("Counted, all together", amount)
    potter.tap("Save the count")
    row = potter.phone.locator("main table tfoot")
    expect(row).to_contain_text("Short" if short else "Over" if over else "As expected")
    expect(row).to_contain_text(short or over or "0.00")


def explains(potter: Potter, label: str, reason: str) -> None:
    """Say why."""
    potter.write(label, reason)
    potter.tap("Save the reason")
    expect(potter.phone.get_by_role("button", name="Change the reason")).to_be_visible()


def takes_home(potter: Potter, amount: str) -> None:
    """Take out what the page proposes, so that the float stays."""
    potter.phone.get_by_text("Take cash out, now that it is counted").click()
    expect(potter.field("Taken out")).to_have_value(amount)
    potter.write("Where to", "Home")
    potter.tap("Take it out")
    expect(potter.phone.locator("main")).to_contain_text(f"${amount} was taken out")


def closed() -> None:
    """The books say the same as the sums by hand."""
    closing = Closing.objects.get()
    rows = [(row.till, row.day is None, row.expected, row.over_short) for row in
            closing.cash_lines.all()]  # fmt: skip
    assert rows == [
        (1, False, 210_00, -1_00), (1, True, 170_00, 0),
        (2, False, 90_00, 0), (2, True, 85_00, 50),
    ]  # fmt: skip
    assert (closing.cash_counted, closing.over_short) == (255_50, -50)
    assert audit() == []
