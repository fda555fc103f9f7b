"""Pieces that come back: to the stall, as seconds, or broken; the money to the cent."""

from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.counter.stalls import NOW, SATURDAY, SUNDAY, Stall
from vendor.counter import actions, returns
from vendor.counter.errors import UndoneAlready
from vendor.counter.figures import Method
from vendor.counter.intake import take_in
from vendor.counter.models import Sale, SaleLine, TakenBack
from vendor.counter.returns import Brought
from vendor.house.errors import Refused
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.models import Movement


def sold(stall: Stall, *pieces: Any, **more: Any) -> Sale:
    document = stall.document(*(pieces or [(stall.tumbler, 3)]), **more)
    take_in(raws=[document], who=stall.owner, now=NOW)
    return Sale.objects.get(key=document["key"])


def back(stall: Stall, sale: Sale, *brought: Brought, **more: Any) -> TakenBack:
    given_: dict[str, Any] = {
        "key": "back",
        "weekend": stall.weekend,
        "day": SATURDAY,
        "method": Method.CASH,
        "reason": "It does not match her other cups",
        "who": stall.owner,
    }
    return returns.take_back(sale=sale, brought=brought, now=NOW, **(given_ | more))


def test_a_piece_goes_back_on_the_stall_and_its_money_to_the_customer(stall: Stall) -> None:
    """Three tumblers are 102.00 and 7.40 of tax; the first one back is 34.00 and 2.47."""
    sale = sold(stall)
    line = sale.lines.get()
    first = back(stall, sale, Brought(line=line, quantity=1))
    assert (first.net, first.tax, first.refunded) == (3400, 247, 3647)
    rest = back(stall, sale, Brought(line=line, quantity=2), key="rest")
    assert first.total + rest.total == sale.total
    assert (stall.left(stall.tumbler), audit()) == (10, [])


def test_a_chipped_piece_comes_back_as_a_second_and_a_broken_one_not_at_all(stall: Stall) -> None:
    """The stall's own book shows all three come; one is then a second, one is broken."""
    sale = sold(stall)
    line = sale.lines.get()
    back(
        stall,
        sale,
        *(Brought(line=line, quantity=1, into=i) for i in ("stock", "second", "broken")),
    )
    assert (stall.left(stall.tumbler), stall.left(stall.tumbler, "second")) == (8, 3)
    assert Movement.objects.filter(target__kind="broken").get().quantity == 1
    assert audit() == []


def test_the_same_return_twice_is_one(stall: Stall) -> None:
    """A form sent by two taps takes back once."""
    sale = sold(stall)
    part = Brought(line=sale.lines.get(), quantity=1)
    assert back(stall, sale, part) == back(stall, sale, part)
    assert stall.left(stall.tumbler) == 8


def test_cash_back_is_rounded_to_the_smallest_coins(db: None) -> None:
    """34.00 and its tax are 36.47; with no coins below five cents 36.45 goes back."""
    stall = Stall(cash_step=5)
    sale = sold(stall, (stall.tumbler, 1))
    taken = back(stall, sale, Brought(line=sale.lines.get(), quantity=1))
    assert (taken.total, taken.cash_rounding, taken.refunded) == (3647, -2, 3645)


def test_more_than_is_out_does_not_come_back(stall: Stall) -> None:
    """Two are back already, so two more are one too many; nothing moves."""
    sale = sold(stall)
    line = sale.lines.get()
    back(stall, sale, Brought(line=line, quantity=2))
    with pytest.raises(Refused, match="1 of this sale are still out"):
        back(stall, sale, Brought(line=line, quantity=2), key="more")
    assert stall.left(stall.tumbler) == 9


@pytest.mark.parametrize("quantity", [0, -1])
def test_something_has_to_come_back(stall: Stall, quantity: int) -> None:
    """No piece, no return; and none without a reason."""
    sale = sold(stall)
    with pytest.raises(Refused):
        back(stall, sale, Brought(line=sale.lines.get(), quantity=quantity))
    with pytest.raises(Refused):
        back(stall, sale)
    with pytest.raises(Refused, match="say why"):
        back(stall, sale, Brought(line=sale.lines.get(), quantity=1), reason=" ")


def test_what_is_undone_is_not_out_and_what_came_back_is_not_undone(stall: Stall) -> None:
    """Each piece comes back once, whichever way."""
    undone, partly = sold(stall), sold(stall)
    actions.undo_sale(key="v", sale=undone, reason="Wrong", who=stall.owner, now=NOW)
    with pytest.raises(UndoneAlready):
        back(stall, undone, Brought(line=undone.lines.get(), quantity=1))
    back(stall, partly, Brought(line=partly.lines.get(), quantity=1))
    with pytest.raises(UndoneAlready):
        actions.undo_sale(key="w", sale=partly, reason="Wrong", who=stall.owner, now=NOW)


def test_a_sale_of_a_closed_weekend_comes_back_in_an_open_one(stall: Stall) -> None:
    """The closed one stays as it is."""
    sale = sold(stall)
    part = Brought(line=sale.lines.get(), quantity=1)
    ledger.close_through(place=stall.place, day=SUNDAY)
    with pytest.raises(Refused, match="closed"):
        back(stall, sale, part)
    later = {"weekend": stall.next_weekend, "day": stall.next_weekend.first_day}
    taken = returns.take_back(
        key="back", sale=sale, brought=[part], method=Method.CARD, reason="Cracked",
        who=stall.owner, now=NOW.replace(day=12), **later,
    )  # fmt: skip
    assert (taken.weekend, taken.cash_rounding) == (stall.next_weekend, 0)


@given(
    net=st.integers(0, 10**9),
    tax=st.integers(0, 10**8),
    parts=st.lists(st.integers(1, 9), min_size=1, max_size=9),
)
def test_all_pieces_together_are_what_was_paid(net: int, tax: int, parts: list[int]) -> None:
    """In whatever portions they come back, no minor unit is lost or made."""
    line = SaleLine(net=net, tax=tax, total=net + tax, quantity=sum(parts))
    before, total = 0, 0
    for part in parts:
        total += returns.refund_for(line, before=before, quantity=part).total
        before += part
    assert total == line.total


def test_a_return_is_entered_on_its_page(stall: Stall) -> None:
    """The page says what to give back; the receipt shows what came back."""
    sale = sold(stall)
    line = sale.lines.get()
    with time_machine.travel(NOW, tick=False):
        client = Client()
        client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
        address = reverse("counter:take_back", args=[sale.pk])
        page = client.get(address).content.decode()
        key = page.split('name="key" value="')[1].split('"')[0]
        form = {"key": key, f"many_{line.pk}": "1", f"into_{line.pk}": "second"}
        assert client.post(address, form | {"reason": "Chipped"}).status_code == 200
        none = client.post(address, form | {f"many_{line.pk}": "0", "way": "cash", "reason": "x"})
        assert none.status_code == 409
        done = client.post(address, form | {"way": "cash", "reason": "Chipped"}, follow=True)
    assert b"Give $36.47 back" in done.content
    assert b"on the stall as a second" in done.content
    assert stall.left(stall.tumbler, "second") == 3
