"""An undoing takes from a hold only what that hold has there, never a neighbour's piece."""

import pytest

from tests.factories import NOW, OwnerFactory, WareFactory, shelf, stall, stocked
from vendor.house.models import User
from vendor.ledger import actions, holds
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece
from vendor.ledger.models import Hold, Place
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    """Return the owner."""
    return OwnerFactory()


@pytest.fixture
def tumbler() -> Ware:
    """Return a ware of which five stand on the shelf and five on the stall."""
    ware = WareFactory()
    stocked(ware, 5)
    stocked(ware, 5, at=stall())
    return ware


def held(key: str, ware: Ware, at: Place, who: User) -> Hold:
    """Hold one piece."""
    return holds.hold(
        key=key, ware_id=ware.pk, at=at, purpose="commitment", label=key, who=who, now=NOW
    )


def test_a_loading_is_not_undone_with_a_neighbours_held_piece(owner: User, tumbler: Ware) -> None:
    """The hold that came along has ended; the piece held for somebody else stays theirs."""
    first = held("Promise 1", tumbler, shelf(), owner)
    other = held("Promise 2", tumbler, stall(), owner)
    loaded = actions.move(
        key="load", lines=[], holds=[first], source=shelf(), target=stall(), who=owner, now=NOW
    )
    holds.release(key="let go", hold=first, who=owner, now=NOW, reason="Not wanted")
    with pytest.raises(HeldPiece, match="Promise 1"):
        actions.reverse(key="unload", entry=loaded, who=owner, now=NOW, reason="Rain")
    other.refresh_from_db()
    assert (other.quantity, other.place) == (1, stall())
    assert audit() == []


def test_a_holding_is_not_undone_where_the_piece_has_gone_on(owner: User, tumbler: Ware) -> None:
    """Its piece stands on the stall by now; another hold's piece on the shelf is not taken."""
    first = held("Promise 1", tumbler, shelf(), owner)
    held("Promise 2", tumbler, shelf(), owner)
    holding = first.lines.get().entry
    actions.move(
        key="load", lines=[], holds=[first], source=shelf(), target=stall(), who=owner, now=NOW
    )
    with pytest.raises(HeldPiece, match="Promise 1"):
        actions.reverse(key="undo", entry=holding, who=owner, now=NOW, reason="By mistake")
    assert audit() == []


def test_a_loading_with_its_held_piece_is_undone_whole(owner: User, tumbler: Ware) -> None:
    """Where nothing happened since, the held piece is back on the shelf, and still held."""
    first = held("Promise 1", tumbler, shelf(), owner)
    loaded = actions.move(
        key="load", lines=[], holds=[first], source=shelf(), target=stall(), who=owner, now=NOW
    )
    actions.reverse(key="unload", entry=loaded, who=owner, now=NOW, reason="Rain")
    first.refresh_from_db()
    assert (first.quantity, first.place) == (1, shelf())
    assert audit() == []
