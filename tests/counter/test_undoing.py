"""Undoing a sale: once, with a reason, by who may, and never in a closed weekend."""

from typing import Any

import pytest

from tests.counter.stalls import NOW, SUNDAY, Stall
from tests.factories import UserFactory
from vendor.counter import actions
from vendor.counter.errors import NotYours, UndoneAlready
from vendor.counter.intake import take_in
from vendor.counter.models import Sale, Undoing
from vendor.fairs.errors import WeekendClosed
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.errors import KeyReused
from vendor.supporters import actions as supporters
from vendor.supporters.models import Supporter


def sold(stall: Stall, who: User | None = None, **more: Any) -> Sale:
    """Sell two bowls, or so many `pieces`."""
    document = stall.document((stall.bowl, more.pop("pieces", 2)), **more)
    take_in(raws=[document], who=who or stall.owner, now=NOW)
    return Sale.objects.get(key=document["key"])


def undo(sale: Sale, who: User, key: str = "undo", reason: str = "The wrong pot") -> Undoing:
    return actions.undo_sale(key=key, sale=sale, reason=reason, who=who, now=NOW)


def test_an_undone_sale_is_back_on_the_stall_and_stays_on_record(stall: Stall) -> None:
    """The sale keeps its facts and its number; the undoing says who and why."""
    sale = sold(stall)
    undoing = undo(sale, stall.owner)
    assert stall.left(stall.bowl) == 4
    assert (sale.undoing, undoing.reason, undoing.who) == (
        undoing,
        "The wrong pot",
        stall.owner,
    )
    assert sold(stall).number == 2
    assert audit() == []


def test_the_same_undoing_twice_is_one(stall: Stall) -> None:
    """A device that heard no answer sends again."""
    sale = sold(stall)
    assert undo(sale, stall.owner) == undo(sale, stall.owner)


def test_the_key_of_one_undoing_undoes_no_other_sale(stall: Stall) -> None:
    """The other sale stays as it is."""
    one, other = sold(stall), sold(stall)
    undo(one, stall.owner)
    with pytest.raises(KeyReused):
        undo(other, stall.owner)
    assert Undoing.objects.count() == 1


def test_a_sale_is_undone_once(stall: Stall) -> None:
    """A second undoing is refused, and nothing moves."""
    sale = sold(stall)
    undo(sale, stall.owner)
    with pytest.raises(UndoneAlready):
        undo(sale, stall.owner, key="again")
    assert stall.left(stall.bowl) == 4


def test_a_sale_of_a_closed_weekend_stays(stall: Stall) -> None:
    """Closed is closed."""
    sale = sold(stall)
    ledger.close_through(place=stall.place, day=SUNDAY)
    with pytest.raises(WeekendClosed, match="can't be undone"):
        undo(sale, stall.owner)
    assert (Undoing.objects.count(), stall.left(stall.bowl)) == (0, 2)


@pytest.mark.parametrize("reason", ["", "   "])
def test_an_undoing_needs_a_reason(stall: Stall, reason: str) -> None:
    """A word or two is enough."""
    sale = sold(stall)
    with pytest.raises(Refused, match="say why"):
        undo(sale, stall.owner, reason=reason)


def test_a_helper_undoes_their_own_sales_only(stall: Stall) -> None:
    """Somebody else's is for them or the owner; the owner may undo anybody's."""
    own, others = sold(stall, stall.helper), sold(stall, UserFactory())
    undo(own, stall.helper)
    with pytest.raises(NotYours):
        undo(others, stall.helper, key="other")
    undo(others, stall.owner, key="other")


def test_an_undone_override_gives_the_hold_its_pieces_back(stall: Stall) -> None:
    """An order's hold that the sale had ended stands again."""
    hold = stall.hold(stall.bowl, 3)
    sale = sold(stall, overridden=[hold.pk])
    undo(sale, stall.owner)
    hold.refresh_from_db()
    assert (hold.quantity, stall.left(stall.bowl)) == (3, 4)
    assert audit() == []


def test_a_promise_whose_piece_is_sold_is_owed_again_until_that_is_undone(stall: Stall) -> None:
    """The supporter is not forgotten, whichever way the seller decides."""
    more = {"who": stall.owner, "now": NOW}
    supporter = Supporter.objects.create(
        key="s", made_by=stall.owner, made_at=NOW, name="Wren Ashby"
    )
    promise = supporters.promise(key="p", supporter=supporter, ware=stall.bowl, **more)
    promise = supporters.keep_piece(key="k", commitment=promise, place=stall.place, **more)
    assert promise.hold is not None
    sale = sold(stall, overridden=[promise.hold.pk], pieces=4)
    promise.refresh_from_db()
    assert (promise.state, promise.hold) == ("owed", None)
    undo(sale, stall.owner)
    promise.refresh_from_db()
    assert (promise.state, stall.left(stall.bowl)) == ("held", 4)
    assert audit() == []
