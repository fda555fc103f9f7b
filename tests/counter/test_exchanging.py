"""An exchange: pieces back, pieces out, and only the difference in money, in one act."""

from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.counter.commissions import key
from tests.counter.stalls import NOW, SATURDAY, SOLD_AT, Stall
from vendor.closing.takings import till_sheet
from vendor.counter import actions, exchanging, returns
from vendor.counter.at import At
from vendor.counter.errors import UndoneAlready
from vendor.counter.exchanging import Difference
from vendor.counter.figures import Method
from vendor.counter.intake import take_in
from vendor.counter.models import Exchange, Sale, TakenBack
from vendor.counter.returns import Brought
from vendor.counter.rung import Rung
from vendor.house.errors import Refused
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece, KeyReused
from vendor.ware.models import Ware


def sold(stall: Stall, ware: Ware, pieces: int = 1, **more: Any) -> Sale:
    document = stall.document((ware, pieces), **more)
    take_in(raws=[document], who=stall.owner, now=NOW)
    return Sale.objects.get(key=document["key"])


def exchanged(stall: Stall, sale: Sale, ware: Ware, pieces: int = 1, **more: Any) -> Exchange:
    told = {"key": key(), "method": Method.CASH, "reason": "Too small", **more}
    into = told.pop("into", "stock")
    return exchanging.exchange(
        sale=sale, brought=[Brought(line=sale.lines.get(), quantity=1, into=into)],
        lines=[Rung(ware_id=ware.pk, list_price=stall.price(ware, "first"), quantity=pieces)],
        at=At(weekend=stall.weekend, day=SATURDAY, moment=SOLD_AT), who=stall.helper, now=NOW,
        **told,
    )  # fmt: skip


def test_a_dearer_piece_costs_the_difference(stall: Stall) -> None:
    """36.47 for the tumbler that comes back, 49.34 for the bowl: 12.87 in cash."""
    made = exchanged(stall, sold(stall, stall.tumbler), stall.bowl)
    assert (made.back.total, made.back.set_off, made.back.refunded) == (3647, 3647, 0)
    paid = [(each.method, each.amount) for each in made.sale.payments.all()]
    assert paid == [("exchange", 3647), ("cash", 1287)]
    assert (stall.left(stall.tumbler), stall.left(stall.bowl)) == (10, 3)
    assert till_sheet(stall.weekend).till.expected == 3647 + 1287
    assert audit() == []


def test_a_cheaper_piece_gives_the_difference_back(stall: Stall) -> None:
    """The other way round: 12.87 go out of the till, and the sale is paid by what came back."""
    made = exchanged(stall, sold(stall, stall.bowl), stall.tumbler)
    assert (made.back.set_off, made.back.refunded) == (3647, 1287)
    assert [(each.method, each.amount) for each in made.sale.payments.all()] == [("exchange", 3647)]
    till = till_sheet(stall.weekend).till
    assert (till.sales, till.refunds, till.expected) == (4934, 1287, 3647)


def test_like_for_like_changes_no_money_and_the_chipped_one_is_broken(stall: Stall) -> None:
    """One broken comes back, a whole one goes out."""
    made = exchanged(stall, sold(stall, stall.tumbler), stall.tumbler, into="broken")
    assert (made.back.refunded, made.sale.payments.get().method) == (0, "exchange")
    assert stall.left(stall.tumbler) == 8
    assert audit() == []


def test_only_the_difference_is_rounded_to_the_coins_there_are() -> None:
    """Steps of 5: 36.47 set off against 49.34 leaves 12.87, taken as 12.85."""
    told = Difference(back=3647, out=4934, amount=1285)
    assert (told.set_off, told.to_pay, told.to_give) == (3647, 1285, 0)


def test_the_rounding_is_that_of_the_difference(db: None) -> None:
    """Paid: 12.85; given back the other way: 12.85 as well."""
    stall = Stall(cash_step=5)
    up = exchanged(stall, sold(stall, stall.tumbler), stall.bowl)
    assert [each.amount for each in up.sale.payments.all()] == [3647, 1285]
    assert up.sale.cash_rounding == -2
    down = exchanged(stall, sold(stall, stall.bowl), stall.tumbler)
    assert (down.back.refunded, down.back.cash_rounding) == (1285, -2)


def test_an_exchange_sent_twice_is_one(stall: Stall) -> None:
    """A key that comes with another sale is refused."""
    sale, other = sold(stall, stall.tumbler), sold(stall, stall.tumbler)
    made = exchanged(stall, sale, stall.bowl, key="a" * 32)
    assert exchanged(stall, sale, stall.bowl, key="a" * 32) == made
    with pytest.raises(KeyReused):
        exchanged(stall, other, stall.bowl, key="a" * 32)
    assert (TakenBack.objects.count(), Exchange.objects.count()) == (1, 1)


def test_what_is_refused_leaves_nothing_behind(stall: Stall) -> None:
    """A held piece can't go out, no reason is no exchange: neither half is written."""
    sale = sold(stall, stall.tumbler)
    stall.hold(stall.bowl, 4)
    with pytest.raises(HeldPiece):
        exchanged(stall, sale, stall.bowl)
    with pytest.raises(Refused, match="Please say why"):
        exchanged(stall, sale, stall.tumbler, reason=" ")
    assert (TakenBack.objects.count(), Sale.objects.count()) == (0, 1)
    assert stall.left(stall.tumbler) == 9


def test_neither_side_of_an_exchange_is_undone_alone(stall: Stall) -> None:
    """What went out is taken back or exchanged again, at its whole price."""
    made = exchanged(stall, sold(stall, stall.tumbler), stall.bowl)
    for sale in (made.sale, made.back.sale):
        with pytest.raises(UndoneAlready):
            actions.undo_sale(key=key(), sale=sale, reason="no", who=stall.owner, now=NOW)
    again = exchanged(stall, made.sale, stall.tumbler)
    assert (again.back.total, again.back.refunded) == (4934, 1287)
    assert till_sheet(stall.weekend).till.expected == 3647
    assert returns.brought_before(made.sale) == {made.sale.lines.get().pk: 1}


@given(back=st.integers(0, 10**6), out=st.integers(0, 10**6))
def test_what_is_set_off_and_what_changes_hands_is_all_of_it(back: int, out: int) -> None:
    """Both sides add up, and only one of the two is ever paid."""
    told = Difference(back=back, out=out, amount=out - back)
    assert told.set_off + told.to_pay == out
    assert told.set_off + told.to_give == back
    assert not (told.to_pay and told.to_give)


def test_an_exchange_is_looked_at_before_it_is_done(stall: Stall, client: Client) -> None:
    """The difference is shown first; where it is another by then, it is shown again."""
    sale = sold(stall, stall.tumbler)
    client.force_login(stall.helper)
    line = sale.lines.get()
    address = reverse("counter:exchange", args=[sale.pk])
    told = {
        "key": key(), f"many_{line.pk}": "1", f"into_{line.pk}": "second",
        "out_1": f"{stall.bowl.pk} first", "pieces_1": "1", "way": "cash", "reason": "Too small",
    }  # fmt: skip
    with time_machine.travel(NOW, tick=False):
        shown = client.post(address, told | {"act": "look"}).content.decode()
        assert "$12.87" in shown
        assert 'name="seen" value="1287"' in shown
        again = client.post(address, told | {"act": "do", "seen": "1000"})
        assert again.status_code == 409
        assert not Exchange.objects.exists()
        answer = client.post(address, told | {"act": "do", "seen": "1287"}, follow=True)
    page = answer.content.decode()
    assert "$12.87 is paid" in page
    assert f"receipt {sale.number}" in page
    assert "in exchange, receipt 1" in page
    old = client.get(reverse("counter:sale", args=[sale.pk])).content.decode()
    assert "In exchange for" in old
    assert stall.left(stall.tumbler, "second") == 3
