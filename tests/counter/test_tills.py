"""The cash boxes of a weekend: opened by name, chosen by a device, cash moved between them."""

from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Page, expect

from tests.counter.stalls import NOW, SATURDAY, Stall
from tests.counter.steps import opened, pay_exactly, sent, tile
from vendor.counter import cashbox, intake, returns
from vendor.counter.cash_views import MOVED
from vendor.counter.figures import Method
from vendor.counter.intake import Outcome
from vendor.counter.models import Sale, Till, TillMovement
from vendor.counter.till import names_of
from vendor.house.errors import Refused
from vendor.ledger.actions import close_through
from vendor.ledger.errors import KeyReused

PAGE = "/sell/cash/"


def second(stall: Stall, name: str = "Second box", key: str = "b") -> Till | None:
    """Open another box."""
    return cashbox.add_till(key=key, weekend=stall.weekend, name=name, who=stall.helper, now=NOW)


def test_a_weekend_has_one_cash_box_until_another_is_opened(stall: Stall) -> None:
    """The first needs no row; of one name there is one box, whoever opens it first."""
    assert names_of(stall.weekend) == {1: "Cash box"}
    assert second(stall) == second(stall, " second  BOX ", key="c")
    assert second(stall, "cash box", key="d") is None
    assert names_of(stall.weekend) == {1: "Cash box", 2: "Second box"}
    assert names_of(stall.next_weekend) == {1: "Cash box"}


def test_the_key_of_one_cash_box_opens_no_other(stall: Stall) -> None:
    """A page that was sent before is refused with another name, and answers to the same one."""
    box = second(stall)
    with pytest.raises(KeyReused, match="Open a fresh page"):
        second(stall, "Third box")
    with pytest.raises(KeyReused):
        cashbox.add_till(
            key="b", weekend=stall.next_weekend, name="Second box", who=stall.helper, now=NOW
        )
    assert second(stall) == box
    assert Till.objects.count() == 1


def test_no_cash_box_without_a_name_in_a_closed_weekend_or_past_any_number(stall: Stall) -> None:
    """Each says what to do."""
    with pytest.raises(Refused, match="name"):
        second(stall, " ")
    for number in range(2, 21):
        second(stall, f"Box {number}", key=f"box-{number}")
    with pytest.raises(Refused, match="at most 20"):
        second(stall, "One more", key="more")
    close_through(place=stall.place, day=stall.weekend.last_day)
    with pytest.raises(Refused, match="closed"):
        second(stall, "Too late", key="late")


def test_each_cash_box_has_a_float_of_its_own(stall: Stall) -> None:
    """A second float of one box is refused, one of the other is not."""
    said: dict[str, Any] = {
        "weekend": stall.weekend, "kind": "float", "amount": 100_00, "who": stall.owner, "now": NOW,
    }  # fmt: skip
    cashbox.move_cash(key="a", **said)
    cashbox.move_cash(key="b", till=2, **said)
    with pytest.raises(Refused, match="already"):
        cashbox.move_cash(key="c", till=2, **said)


def test_cash_moved_between_boxes_is_paid_out_and_in_and_linked(stall: Stall) -> None:
    """Once by its key, whatever comes back; never from a box to itself."""
    second(stall)
    said: dict[str, Any] = {
        "key": "m", "weekend": stall.weekend, "source": 1, "target": 2, "reason": "change",
        "who": stall.owner, "now": NOW,
    }  # fmt: skip
    out = cashbox.move_between(amount=20_00, **said)
    assert cashbox.move_between(amount=20_00, **said) == out
    assert (out.till, out.kind, out.reason) == (1, "paid_out", "to Second box: change")
    into = out.moved_to
    assert (into.till, into.kind, into.reason) == (2, "paid_in", "from Cash box: change")
    assert TillMovement.objects.count() == 2
    with pytest.raises(KeyReused):
        cashbox.move_between(amount=30_00, **said)
    with pytest.raises(KeyReused):
        cashbox.move_between(amount=20_00, **{**said, "target": 3})
    with pytest.raises(Refused, match="another cash box"):
        cashbox.move_between(**{**said, "amount": 1, "key": "n", "target": 1})


def test_cash_belongs_to_a_day_of_its_weekend(stall: Stall, client: Client) -> None:
    """Today's, unless the page was opened for another; a day of no weekend is refused."""
    client.force_login(stall.helper, "django.contrib.auth.backends.ModelBackend")
    asked = f"{PAGE}?day={SATURDAY}"
    filled = {"weekend": stall.weekend.pk, "kind": "paid_out", "amount": "5", "reason": "bags"}
    assert "belongs to Sat, Dec 5" in client.get(asked).content.decode()
    client.post(asked, filled | {"key": "a", "day": str(SATURDAY)})
    assert TillMovement.objects.get().day == SATURDAY
    answer = client.post(asked, filled | {"key": "b", "day": "2026-12-25"}).content.decode()
    assert "is no day of" in answer


def test_a_sale_says_which_cash_box_it_was_taken_at(stall: Stall) -> None:
    """One that says nothing was taken at the first; no number is refused for its box."""
    raws = [stall.document(), stall.document(till=2), stall.document(till=21)]
    answers = intake.take_in(raws=raws, who=stall.helper, now=NOW)
    assert [each.outcome for each in answers] == [Outcome.TAKEN, Outcome.TAKEN, Outcome.MALFORMED]
    assert list(Sale.objects.values_list("till", flat=True)) == [1, 2]


def test_money_goes_back_out_of_the_box_that_is_named(stall: Stall, client: Client) -> None:
    """The page asks for it only where there are several."""
    intake.take_in(raws=[stall.document(till=2)], who=stall.helper, now=NOW)
    sale = Sale.objects.get()
    client.force_login(stall.owner, "django.contrib.auth.backends.ModelBackend")
    path = f"/sell/sales/{sale.pk}/back/"
    assert "Out of which cash box" not in client.get(path).content.decode()
    second(stall)
    assert client.get(path).context["form"]["till"].value() == 2
    back = returns.take_back(
        key="k", sale=sale, weekend=stall.weekend, day=sale.day, method=Method.CASH, till=2,
        brought=[returns.Brought(line=sale.lines.get(), quantity=1)], reason="too big",
        who=stall.owner, now=NOW,
    )  # fmt: skip
    assert back.till == 2


def test_the_till_page_asks_for_the_box_only_where_there_are_several(
    stall: Stall, client: Client
) -> None:
    """With one box nothing is new but the way to a second."""
    client.force_login(stall.helper, "django.contrib.auth.backends.ModelBackend")
    assert not {"till", "target"} & client.get(PAGE).context["form"].fields.keys()
    weekend = stall.weekend.pk
    client.post(f"{PAGE}boxes/", {"weekend": weekend, "name": "Second box", "key": "b"})
    filled = {"key": "k", "weekend": weekend, "till": "1", "kind": MOVED, "amount": "20"}
    assert "another cash box" in client.post(PAGE, filled).content.decode()
    assert client.post(PAGE, filled | {"target": "2"}).status_code == 302
    assert "to Second box" in client.get(PAGE).content.decode()
    for wrong in ({"weekend": weekend, "name": ""}, {"weekend": "x", "name": "Box"}):
        client.post(f"{PAGE}boxes/", wrong)
    assert Till.objects.count() == 1


@pytest.mark.browser
def test_a_device_keeps_the_cash_box_it_works_with(today: Stall, counter: Page) -> None:
    """Nothing to choose with one box; chosen once, it holds for every sale and every visit."""
    expect(counter.locator("#boxes")).to_be_hidden()
    second(today)
    opened(counter)
    counter.get_by_label("Cash box").select_option("Second box")
    for _ in range(2):
        tile(counter, "Tumbler").tap()
        pay_exactly(counter)
        sent(counter)
        opened(counter)
        expect(counter.get_by_label("Cash box")).to_have_value("2")
    assert list(Sale.objects.values_list("till", flat=True)) == [2, 2]
