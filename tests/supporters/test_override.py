"""A held piece that is sold all the same: only by a named override, and the promise knows it."""

import pytest

from tests.factories import NOW, shelf, stocked
from tests.supporters.makers import at, kept, promised
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece
from vendor.ledger.models import Entry, Hold
from vendor.supporters import actions
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State


@pytest.fixture
def promise(ines: Supporter, tumbler: Ware, owner: User) -> Commitment:
    """A promise whose piece is one of the two on the shelf."""
    return kept(promised(ines, tumbler, owner), owner)


def sold(promise: Commitment, ware: Ware, owner: User, quantity: int = 2, key: str = "s") -> Entry:
    """Sell the held piece by an explicit override, as the counter does."""
    assert promise.hold is not None
    hold = promise.hold
    entry = ledger.sell(
        key=key, lines=[ledger.Line(ware.pk, quantity)], source=shelf(), overrides=[hold],
        who=owner, now=NOW, reason="She saw it and wept",
    )  # fmt: skip
    actions.hold_overridden(hold=hold, who=owner, now=NOW, reason="She saw it and wept")
    return entry


def test_a_held_piece_is_not_sold_without_saying_so(
    promise: Commitment, tumbler: Ware, owner: User
) -> None:
    """The refusal names the promise, not the person."""
    with pytest.raises(HeldPiece, match="Promise 1") as refused:
        ledger.sell(key="s", lines=[ledger.Line(tumbler.pk, 2)], source=shelf(), who=owner, now=NOW)
    assert "Ines" not in refused.value.message


def test_an_override_puts_the_promise_back_to_owed_with_a_record(
    promise: Commitment, tumbler: Ware, owner: User
) -> None:
    """Who sold it and why stays in the promise's history."""
    sold(promise, tumbler, owner)
    promise.refresh_from_db()
    assert (promise.state, promise.hold) == (State.OWED, None)
    step = promise.steps.last()
    assert (step.what, step.note, step.made_by) == ("overridden", "She saw it and wept", owner)
    assert at(shelf(), tumbler) == (0, 0)
    assert audit() == []


def test_an_override_told_twice_is_recorded_once(
    promise: Commitment, tumbler: Ware, owner: User
) -> None:
    """A sale that is sent again tells it again."""
    hold = promise.hold
    assert hold is not None
    sold(promise, tumbler, owner)
    assert actions.hold_overridden(hold=hold, who=owner, now=NOW, reason="again") is None
    assert promise.steps.filter(what="overridden").count() == 1


def test_an_override_of_another_hold_touches_no_promise(tumbler: Ware, owner: User) -> None:
    """An order's hold is no promise's."""
    hold = holds.hold(
        key="o", ware_id=tumbler.pk, at=shelf(), purpose=Hold.Purpose.ORDER, label="Order 3",
        who=owner, now=NOW,
    )  # fmt: skip
    assert actions.hold_overridden(hold=hold, who=owner, now=NOW, reason="so") is None


def test_an_undone_sale_gives_the_piece_back_to_its_promise(
    promise: Commitment, tumbler: Ware, owner: User
) -> None:
    """Held as before, and it can be overridden again."""
    hold = promise.hold
    assert hold is not None
    entry = sold(promise, tumbler, owner)
    ledger.reverse(key="u", entry=entry, who=owner, now=NOW, reason="Rung up wrongly")
    for _ in range(2):
        back = actions.hold_restored(hold=hold, who=owner, now=NOW)
        assert back is not None
        assert (back.state, back.hold_id) == (State.HELD, hold.pk)
    assert at(shelf(), tumbler) == (2, 1)
    sold(back, tumbler, owner, key="s2")
    back.refresh_from_db()
    assert back.state == State.OWED
    assert back.steps.filter(what="overridden").count() == 2
    assert audit() == []


def test_an_undone_sale_frees_the_piece_where_the_promise_has_another(
    promise: Commitment, tumbler: Ware, owner: User
) -> None:
    """One promise never holds two pieces."""
    hold = promise.hold
    assert hold is not None
    entry = sold(promise, tumbler, owner)
    stocked(tumbler, 1, who=owner, key="more")
    kept(promise, owner)
    ledger.reverse(key="u", entry=entry, who=owner, now=NOW, reason="Rung up wrongly")
    for _ in range(2):
        actions.hold_restored(hold=hold, who=owner, now=NOW)
    assert at(shelf(), tumbler) == (3, 1)
    assert audit() == []
