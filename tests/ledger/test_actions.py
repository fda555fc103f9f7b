"""What the ledger's verbs do and refuse, one rule at a time."""

import datetime

import pytest
from django.db import IntegrityError, transaction

from tests.factories import NOW, OwnerFactory, WareFactory, shelf, stall, stocked
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions, holds
from vendor.ledger.actions import Counted, Line
from vendor.ledger.audit import audit
from vendor.ledger.errors import DayClosed, HeldPiece, KeyReused, NotEnough, ReversedAlready
from vendor.ledger.models import Balance, Entry, Hold, Movement, Place
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return OwnerFactory()


@pytest.fixture
def tumbler(owner: User) -> Ware:
    """A ware of which ten stand on the shelf."""
    ware = WareFactory()
    stocked(ware, 10, who=owner)
    return ware


def at(place: Place, ware: Ware) -> tuple[int, int]:
    """Return (on hand, held) of a ware's firsts at a place."""
    row = Balance.objects.filter(place=place, ware=ware, grade="first").first()
    return (row.on_hand, row.held) if row else (0, 0)


def held(ware: Ware, owner: User, quantity: int = 1, key: str = "hold") -> Hold:
    return holds.hold(
        key=key, ware_id=ware.pk, at=shelf(), quantity=quantity, purpose="commitment",
        label="Promise 12", who=owner, now=NOW,
    )  # fmt: skip


def test_moving_takes_from_one_place_what_it_gives_to_the_other(tumbler: Ware, owner: User) -> None:
    """Stock moves; it never appears or vanishes."""
    actions.move(
        key="m", lines=[Line(tumbler.pk, 4)], source=shelf(), target=stall(), who=owner, now=NOW
    )
    assert (at(shelf(), tumbler), at(stall(), tumbler)) == ((6, 0), (4, 0))
    assert audit() == []


def test_more_than_there_is_cannot_leave_and_nothing_moves(tumbler: Ware, owner: User) -> None:
    """All or nothing: the line that would fit stays too."""
    other = WareFactory()
    stocked(other, 3, who=owner, key="other")
    with pytest.raises(NotEnough, match="has 10 of .* and this needs 11"):
        actions.move(
            key="m", lines=[Line(other.pk, 1), Line(tumbler.pk, 11)], source=shelf(),
            target=stall(), who=owner, now=NOW,
        )  # fmt: skip
    assert at(shelf(), other) == (3, 0)
    assert at(stall(), other) == (0, 0)


def test_the_same_key_again_changes_nothing_and_answers_the_same(
    tumbler: Ware, owner: User
) -> None:
    """A document that was sent twice is one document."""
    act = {"lines": [Line(tumbler.pk, 4)], "source": shelf(), "target": stall(), "who": owner}
    first = actions.move(key="m", now=NOW, **act)
    again = actions.move(key="m", now=NOW + datetime.timedelta(hours=1), **act)
    assert again == first
    assert at(shelf(), tumbler) == (6, 0)


def test_a_key_that_comes_back_with_other_contents_is_refused(tumbler: Ware, owner: User) -> None:
    """Two different documents can't share a key."""
    act = {"source": shelf(), "target": stall(), "who": owner, "now": NOW}
    actions.move(key="m", lines=[Line(tumbler.pk, 4)], **act)
    with pytest.raises(KeyReused):
        actions.move(key="m", lines=[Line(tumbler.pk, 5)], **act)


def test_a_held_piece_is_not_free_to_move_or_to_take_out(tumbler: Ware, owner: User) -> None:
    """Free is on hand less held, everywhere."""
    held(tumbler, owner, 8)
    with pytest.raises(HeldPiece, match="Promise 12"):
        actions.move(
            key="m", lines=[Line(tumbler.pk, 3)], source=shelf(), target=stall(), who=owner, now=NOW
        )
    with pytest.raises(HeldPiece):
        actions.remove(
            key="b", lines=[Line(tumbler.pk, 3)], source=shelf(), to="broken", who=owner, now=NOW,
            reason="dropped",
        )  # fmt: skip


def test_no_more_can_be_held_than_is_free(tumbler: Ware, owner: User) -> None:
    """A second promise can't take the first one's pieces."""
    held(tumbler, owner, 8)
    with pytest.raises(HeldPiece):
        held(tumbler, owner, 3, key="another")
    assert Hold.objects.count() == 1


def test_a_hold_travels_with_its_pieces(tumbler: Ware, owner: User) -> None:
    """A held piece that is moved by name stays held where it arrives."""
    hold = held(tumbler, owner, 2)
    actions.move(
        key="m", lines=[Line(tumbler.pk, 3)], source=shelf(), target=stall(), who=owner, now=NOW,
        holds=[hold],
    )  # fmt: skip
    assert (at(shelf(), tumbler), at(stall(), tumbler)) == ((5, 0), (5, 2))
    hold.refresh_from_db()
    assert hold.place == stall()
    assert audit() == []


def test_sending_a_hold_ends_it_and_takes_the_piece(tumbler: Ware, owner: User) -> None:
    """What was promised leaves by the hold that kept it."""
    hold = held(tumbler, owner)
    holds.send(key="s", hold=hold, who=owner, now=NOW)
    holds.send(key="s", hold=hold, who=owner, now=NOW)
    assert at(shelf(), tumbler) == (9, 0)


def test_releasing_asks_why(tumbler: Ware, owner: User) -> None:
    """A release without a reason is refused; with one the piece is free again."""
    hold = held(tumbler, owner)
    with pytest.raises(Refused, match="why"):
        holds.release(key="r", hold=hold, who=owner, now=NOW, reason="  ")
    holds.release(key="r", hold=hold, who=owner, now=NOW, reason="chose another")
    assert at(shelf(), tumbler) == (10, 0)


def test_selling_past_the_count_enters_the_missing_pieces_as_found(
    tumbler: Ware, owner: User
) -> None:
    """The pot in the hand is right."""
    entry = actions.sell(key="s", lines=[Line(tumbler.pk, 12)], source=shelf(), who=owner, now=NOW)
    found = entry.movements.get(source__kind="found")
    assert found.quantity == 2
    assert at(shelf(), tumbler) == (0, 0)
    assert audit() == []


def test_the_last_free_piece_sold_stops_before_the_held_one(tumbler: Ware, owner: User) -> None:
    """A held piece is sold only when the seller says so: by its hold, or that it is another."""
    hold = held(tumbler, owner, 2)
    sale = {"lines": [Line(tumbler.pk, 9)], "source": shelf(), "who": owner, "now": NOW}
    with pytest.raises(HeldPiece) as refused:
        actions.sell(key="s", **sale)
    assert refused.value.hold_ids == [hold.pk]
    entry = actions.sell(key="s", not_the_held=True, **sale)
    assert entry.movements.get(source__kind="found").quantity == 1
    assert at(shelf(), tumbler) == (2, 2)


def test_overriding_a_hold_ends_it_and_sells_the_piece(tumbler: Ware, owner: User) -> None:
    """The override names the hold."""
    hold = held(tumbler, owner, 2)
    actions.sell(
        key="s", lines=[Line(tumbler.pk, 9)], source=shelf(), who=owner, now=NOW, overrides=[hold]
    )
    hold.refresh_from_db()
    assert hold.quantity == 0
    assert at(shelf(), tumbler) == (1, 0)


def test_reversing_restores_what_was_and_names_what_it_reverses(tumbler: Ware, owner: User) -> None:
    """A mistake is undone by a new entry, once."""
    entry = actions.sell(key="s", lines=[Line(tumbler.pk, 12)], source=shelf(), who=owner, now=NOW)
    back = actions.reverse(key="r", entry=entry, who=owner, now=NOW, reason="wrong ware")
    assert back.reverses == entry
    assert at(shelf(), tumbler) == (10, 0)
    with pytest.raises(ReversedAlready):
        actions.reverse(key="r2", entry=entry, who=owner, now=NOW, reason="again")
    with pytest.raises(ReversedAlready):
        actions.reverse(key="r3", entry=back, who=owner, now=NOW, reason="back")


def test_reversing_what_has_gone_on_since_is_refused(tumbler: Ware, owner: User) -> None:
    """Pieces that have been sold can't be un-moved."""
    entry = actions.move(
        key="m", lines=[Line(tumbler.pk, 4)], source=shelf(), target=stall(), who=owner, now=NOW
    )
    actions.sell(key="s", lines=[Line(tumbler.pk, 2)], source=stall(), who=owner, now=NOW)
    with pytest.raises(NotEnough):
        actions.reverse(key="r", entry=entry, who=owner, now=NOW, reason="not this van")


def test_a_count_sets_what_stands_there_and_asks_why(tumbler: Ware, owner: User) -> None:
    """The difference is an entry of its own; a count that agrees makes none."""
    count = {"at": shelf(), "who": owner, "now": NOW}
    assert actions.correct(key="c", counts=[Counted(tumbler.pk, 10)], reason="", **count) is None
    with pytest.raises(Refused, match="why"):
        actions.correct(key="d", counts=[Counted(tumbler.pk, 7)], reason="", **count)
    actions.correct(key="e", counts=[Counted(tumbler.pk, 7)], reason="miscounted", **count)
    actions.correct(key="e", counts=[Counted(tumbler.pk, 7)], reason="miscounted", **count)
    assert at(shelf(), tumbler) == (7, 0)


def test_nothing_is_entered_in_a_closed_period(tumbler: Ware, owner: User) -> None:
    """Closed is closed, for the program and for the database."""
    actions.close_through(place=shelf(), day=datetime.date(2026, 12, 6))
    late = {"lines": [Line(tumbler.pk, 1)], "source": shelf(), "who": owner}
    with pytest.raises(DayClosed, match="closed up to and including 2026-12-06"):
        actions.sell(key="s", now=NOW, **late)
    actions.sell(key="s", now=NOW + datetime.timedelta(days=5), **late)
    entry = Entry.objects.get(kind="opening")
    with pytest.raises(IntegrityError, match="closed"), transaction.atomic():
        Movement.objects.create(
            entry=entry, ware=tumbler, grade="first", source=shelf(), target=stall(), quantity=1
        )
    with pytest.raises(IntegrityError, match="closed"), transaction.atomic():
        Place.objects.filter(pk=shelf().pk).update(closed_through=None)
