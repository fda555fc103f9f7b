"""A promise from the day it is written down to the day it is kept, one rule at a time."""

import pytest
from django.db import IntegrityError, transaction

from tests.factories import NOW, WareFactory, shelf, stall, stocked
from tests.supporters.makers import at, kept, promised
from vendor.house.models import User
from vendor.house.reasons import ReasonNeeded
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece, KeyReused
from vendor.ledger.models import Entry, Hold
from vendor.supporters import actions
from vendor.supporters.errors import (
    NoFreePiece,
    NotNow,
    NotThisPiece,
    NotValid,
)
from vendor.supporters.models import Commitment, Step, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State


def test_a_promise_is_owed_until_a_piece_is_held_for_it(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The piece stays where it stands and is no longer free."""
    promise = promised(ines, tumbler, owner)
    assert (promise.state, promise.number) == (State.OWED, 1)
    promise = kept(promise, owner)
    assert promise.state == State.HELD
    assert at(shelf(), tumbler) == (2, 1)
    assert audit() == []


def test_a_hold_is_labelled_without_a_name(ines: Supporter, tumbler: Ware, owner: User) -> None:
    """The ledger keeps counts and numbers, not names."""
    hold = kept(promised(ines, tumbler, owner), owner).hold
    assert hold is not None
    assert (hold.label, hold.purpose) == ("Promise 1", Hold.Purpose.COMMITMENT)
    said = " ".join(Entry.objects.values_list("reason", flat=True)) + hold.label
    assert "Ines" not in said


def test_two_promises_cannot_hold_the_last_free_piece(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The third promise of two tumblers finds none, and nothing changes."""
    promises = [promised(ines, tumbler, owner) for _ in range(3)]
    kept(promises[0], owner)
    kept(promises[1], owner)
    with pytest.raises(NoFreePiece, match="all 2 there are held for others"):
        kept(promises[2], owner)
    promises[2].refresh_from_db()
    assert promises[2].state == State.OWED
    assert at(shelf(), tumbler) == (2, 2)


def test_a_second_is_held_only_where_the_promise_allows_one(ines: Supporter, owner: User) -> None:
    """A flawed piece never keeps a promise by accident."""
    ware = WareFactory()
    stocked(ware, 1, who=owner, grade="second")
    strict = promised(ines, ware, owner)
    with pytest.raises(NotThisPiece, match="owed a first"):
        kept(strict, owner, grade="second")
    relaxed = kept(promised(ines, ware, owner, seconds_allowed=True), owner, grade="second")
    assert at(shelf(), ware, "second") == (1, 1)
    assert relaxed.hold is not None
    assert relaxed.hold.grade == "second"


def test_a_near_piece_is_held_where_it_is_named(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The potter may settle on another ware; the promise says what was promised."""
    promise = promised(ines, WareFactory(form=tumbler.form), owner)
    held = kept(promise, owner, ware=tumbler).hold
    assert held is not None
    assert held.ware == tumbler
    promise.refresh_from_db()
    assert promise.ware != tumbler


def test_a_released_piece_is_free_and_its_promise_owed(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Releasing asks why, and the history keeps the answer."""
    promise = kept(promised(ines, tumbler, owner), owner)
    with pytest.raises(ReasonNeeded):
        actions.release_piece(key="r", commitment=promise, who=owner, now=NOW, reason="  ")
    promise = actions.release_piece(
        key="r", commitment=promise, who=owner, now=NOW, reason="A chip on the rim"
    )
    assert (promise.state, promise.hold) == (State.OWED, None)
    assert at(shelf(), tumbler) == (2, 0)
    assert promise.steps.last().note == "A chip on the rim"
    assert kept(promise, owner).state == State.HELD


def test_a_held_piece_moves_with_its_hold(ines: Supporter, tumbler: Ware, owner: User) -> None:
    """It is taken to the stall to be fetched there, and still nobody else's."""
    promise = kept(promised(ines, tumbler, owner), owner)
    actions.move_held(key="m", commitment=promise, to=stall(), who=owner, now=NOW)
    assert (at(shelf(), tumbler), at(stall(), tumbler)) == ((1, 0), (1, 1))
    done = actions.hand_over(key="h", commitment=promise, who=owner, now=NOW)
    assert done.state == State.HANDED_OVER
    assert at(stall(), tumbler) == (0, 0)
    assert audit() == []


def test_sending_asks_for_a_held_piece_and_ends_the_promise(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Carrier, tracking and postage are kept; nothing is owed any more."""
    promise = promised(ines, tumbler, owner)
    with pytest.raises(NotNow, match="hold a piece for it"):
        actions.send_reward(key="s", commitment=promise, who=owner, now=NOW)
    sent = actions.send_reward(
        key="s", commitment=kept(promise, owner), carrier="By boat", tracking="B 12", cost=850,
        who=owner, now=NOW,
    )  # fmt: skip
    assert sent.state == State.SENT
    assert sent.parcel is not None
    assert (sent.parcel.carrier, sent.parcel.tracking, sent.parcel.cost) == ("By boat", "B 12", 850)
    assert at(shelf(), tumbler) == (1, 0)
    assert not Commitment.objects.open().exists()


def test_a_sending_that_did_not_happen_is_undone(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """A reversing entry brings the piece back, held as before."""
    promise = kept(promised(ines, tumbler, owner), owner)
    actions.send_reward(key="s", commitment=promise, who=owner, now=NOW)
    back = actions.take_back(
        key="b", commitment=promise, who=owner, now=NOW, reason="The parcel came back"
    )
    assert (back.state, back.ended_at, back.parcel) == (State.HELD, None, None)
    assert at(shelf(), tumbler) == (2, 1)
    assert audit() == []


def test_a_cancelled_promise_lets_its_piece_go_and_can_be_owed_again(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Cancelling says why; owing again starts without a piece."""
    promise = kept(promised(ines, tumbler, owner), owner)
    gone = actions.cancel(key="c", commitment=promise, who=owner, now=NOW, reason="Moved away")
    assert (gone.state, gone.end_note, gone.hold) == (State.CANCELLED, "Moved away", None)
    assert at(shelf(), tumbler) == (2, 0)
    with pytest.raises(NotNow):
        kept(gone, owner)
    again = actions.reopen(key="o", commitment=gone, who=owner, now=NOW, reason="Came back")
    assert (again.state, again.ended_at) == (State.OWED, None)


def test_a_held_piece_leaves_for_the_fair_only_with_its_hold_named(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Packing what is free leaves the held one behind."""
    kept(promised(ines, tumbler, owner), owner)
    with pytest.raises(HeldPiece, match="Promise 1"):
        ledger.move(
            key="pack", lines=[ledger.Line(tumbler.pk, 2)], source=shelf(), target=stall(),
            who=owner, now=NOW,
        )  # fmt: skip


def test_promising_and_adding_a_supporter_twice_makes_one(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The same key answers with what the first one made."""
    first = promised(ines, tumbler, owner, key="p")
    assert promised(ines, tumbler, owner, key="p") == first
    again = actions.add_supporter(key="ines", name="Ines Quill", who=owner, now=NOW)
    assert again == ines
    with pytest.raises(NotValid, match="e-mail"):
        actions.add_supporter(
            key="other", name="Ines", email="INES@example.org", who=owner, now=NOW
        )


def test_a_key_of_another_act_is_refused(ines: Supporter, tumbler: Ware, owner: User) -> None:
    """A key names one act on one promise."""
    first = kept(promised(ines, tumbler, owner), owner, key="k")
    other = promised(ines, tumbler, owner)
    with pytest.raises(KeyReused):
        kept(other, owner, key="k")
    with pytest.raises(KeyReused):
        actions.hand_over(key="k", commitment=first, who=owner, now=NOW)


def test_the_history_is_never_rewritten(ines: Supporter, tumbler: Ware, owner: User) -> None:
    """The database itself refuses a change of a step."""
    promised(ines, tumbler, owner)
    with pytest.raises(IntegrityError), transaction.atomic():
        Step.objects.update(note="other")
