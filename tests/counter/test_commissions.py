"""A commission at the stall: its deposit, its handing over as a sale, its cancelling."""

from typing import Any

import pytest

from tests.counter.commissions import (
    CONTACT,
    CUSTOMER,
    DUE,
    at,
    cancelled,
    handed_over,
    held,
    key,
    taken,
)
from tests.counter.stalls import NOW, SUNDAY, Stall
from tests.factories import stocked
from vendor.counter import actions, commissions
from vendor.counter.errors import NotASellingDay, NotYours, Unpaid
from vendor.counter.figures import Method
from vendor.counter.models import Commission, Deposit, Sale
from vendor.counter.rung import Paid
from vendor.fairs.errors import WeekendClosed
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.errors import KeyReused
from vendor.supporters import actions as supporters
from vendor.supporters.models import Commitment, Supporter

Kind = Deposit.Kind


def test_a_commission_is_a_promise_to_a_named_customer(stall: Stall) -> None:
    """With its price, what is left to pay, and no level for the customer."""
    promise = taken(stall).commitment
    promise = Commitment.objects.get(pk=promise.pk)
    assert (promise.supporter.name, promise.supporter.email) == (CUSTOMER, CONTACT)
    assert (promise.ware, promise.choices, promise.due_on) == (stall.tumbler, "a hare", DUE)
    assert (promise.price, promise.paid, promise.to_pay) == (9000, 2000, 7000)
    deposit = Deposit.objects.get()
    assert (deposit.number, deposit.method, deposit.received) == (1, "cash", 2000)
    assert not Sale.objects.exists()


def test_the_same_commission_twice_is_one(stall: Stall) -> None:
    """A repeat answers with the first; other contents under its key are refused."""
    one = taken(stall, key="a" * 32)
    assert taken(stall, key="a" * 32) == one
    with pytest.raises(KeyReused):
        taken(stall, key="a" * 32, price=9500)
    assert (Commission.objects.count(), Deposit.objects.count()) == (1, 1)


def test_a_customer_who_comes_again_is_one_person(stall: Stall) -> None:
    """Deposits are numbered through the fair."""
    taken(stall)
    taken(stall, deposit=500)
    assert Supporter.objects.count() == 1
    assert [each.number for each in Deposit.objects.all()] == [1, 2]


def test_a_commission_without_a_deposit_takes_no_money(stall: Stall) -> None:
    """It is a promise at a price all the same."""
    promise = taken(stall, deposit=0).commitment
    assert (promise.price, Deposit.objects.count()) == (9000, 0)


def test_nothing_is_left_behind_by_a_commission_that_is_refused(stall: Stall) -> None:
    """A deposit above the price: neither promise nor customer is written."""
    with pytest.raises(Refused, match="than the price agreed"):
        taken(stall, deposit=9001)
    for table in (Commission, Deposit, Commitment, Supporter):
        assert not table.objects.exists()  # type: ignore[attr-defined]


def test_a_deposit_belongs_to_an_open_selling_day(stall: Stall) -> None:
    """Its cash is counted in the till of that weekend."""
    promise = taken(stall, deposit=0).commitment
    received = commissions.Received(method=Method.CASH, amount=100)

    def take(**more: Any) -> Deposit:
        return commissions.take_deposit(
            key=key(), promise=promise, received=received, at=at(stall, **more), who=stall.helper,
            now=NOW,
        )  # fmt: skip

    with pytest.raises(NotASellingDay):
        take(day=SUNDAY.replace(day=9))
    ledger.close_through(place=stall.place, day=SUNDAY)
    with pytest.raises(WeekendClosed):
        take()


def test_handing_over_sells_the_whole_price_and_the_deposit_pays_its_part(stall: Stall) -> None:
    """90.00 with 7.25 % in it: 83.92 and 6.08 tax; 20.00 paid before, 70.00 in cash now."""
    promise = held(stall, taken(stall))
    before = stall.left(stall.tumbler)
    sale = handed_over(stall, promise, payment=Paid(method=Method.CASH, tendered=10000))
    assert (sale.net, sale.tax, sale.total, sale.tax_included) == (8392, 608, 9000, True)
    paid = [(each.method, each.amount, each.change) for each in sale.payments.all()]
    assert paid == [("deposit", 2000, 0), ("cash", 7000, 3000)]
    promise.refresh_from_db()
    assert (promise.state, promise.entry, sale.commitment) == ("handed_over", sale.entry, promise)
    assert stall.left(stall.tumbler) == before - 1
    assert sale.lines.get().tier == commissions.AGREED
    assert audit() == []


def test_handing_over_twice_with_one_key_is_one_sale(stall: Stall) -> None:
    """A page that heard no answer sends again."""
    promise = held(stall, taken(stall))
    one = handed_over(stall, promise, key="b" * 32)
    assert handed_over(stall, promise, key="b" * 32) == one
    with pytest.raises(Refused):
        handed_over(stall, promise)


def test_a_deposit_of_the_whole_price_leaves_nothing_to_pay(stall: Stall) -> None:
    """The sale has one payment: the deposit."""
    promise = held(stall, taken(stall, deposit=9000))
    sale = handed_over(stall, promise)
    assert [(each.method, each.amount) for each in sale.payments.all()] == [("deposit", 9000)]


def test_a_piece_is_not_handed_over_for_less_than_is_left(stall: Stall) -> None:
    """Nothing moves, and the promise is held as before."""
    promise = held(stall, taken(stall))
    with pytest.raises(Unpaid):
        handed_over(stall, promise, payment=Paid(method=Method.CARD, settles=100))
    promise.refresh_from_db()
    assert promise.state == "held"
    with pytest.raises(Refused, match="holds no piece"):
        handed_over(stall, taken(stall).commitment)


def test_a_piece_on_the_studio_shelf_is_sold_from_there(stall: Stall) -> None:
    """The stall's own pots don't change."""
    shelf = ledger.the_place("studio")
    stocked(stall.tumbler, 1, who=stall.owner)
    promise = supporters.keep_piece(
        key=key(), commitment=taken(stall).commitment, place=shelf, who=stall.owner, now=NOW
    )
    before = stall.left(stall.tumbler)
    sale = handed_over(stall, promise)
    assert [move.source for move in sale.entry.movements.all()] == [shelf]
    assert stall.left(stall.tumbler) == before


def test_an_undone_handing_over_holds_the_piece_and_its_deposit_again(stall: Stall) -> None:
    """And it can be handed over anew."""
    promise = held(stall, taken(stall))
    sale = handed_over(stall, promise)
    actions.undo_sale(key="u", sale=sale, reason="Rung up wrong", who=stall.owner, now=NOW)
    promise.refresh_from_db()
    assert (promise.state, promise.paid, promise.to_pay) == ("held", 2000, 7000)
    assert handed_over(stall, promise).number == 2
    assert audit() == []


@pytest.mark.parametrize(
    ("kind", "method", "received"), [(Kind.PAID_BACK, Method.CARD, -2000), (Kind.KEPT, None, 0)]
)
def test_a_cancelled_commission_pays_its_deposit_back_or_keeps_it(
    stall: Stall, kind: Deposit.Kind, method: Method | None, received: int
) -> None:
    """With a reason; the held piece is free again."""
    promise = held(stall, taken(stall))
    deposit = cancelled(stall, promise, kind, method)
    assert (deposit.amount, deposit.received, deposit.method) == (2000, received, method or "")
    assert deposit.reason == "The customer moved away"
    promise.refresh_from_db()
    assert (promise.state, promise.paid, promise.hold) == ("cancelled", 0, None)
    assert audit() == []


@pytest.mark.parametrize("who", ["owner", "helper"])
def test_only_the_owner_cancels_and_only_with_a_reason(stall: Stall, who: str) -> None:
    """Nothing is paid back otherwise."""
    promise = taken(stall).commitment
    person: User = getattr(stall, who)
    reason = " " if who == "owner" else "Changed their mind"
    with pytest.raises(NotYours if who == "helper" else Refused):
        cancelled(stall, promise, Kind.KEPT, who=person, reason=reason)
    assert Deposit.objects.count() == 1
