"""What is left on the stall when a weekend is closed: where it goes, and what is held of it."""

import pytest

from tests.closing.makers import (
    SATURDAY_NOON,
    Stall,
)
from tests.factories import PriceFactory, shelf
from tests.fairs.makers import at
from vendor.closing.actions import Leftovers
from vendor.closing.models import Closing
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.errors import HeldPiece
from vendor.ledger.models import Place
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected, at 34.00 each."""
    ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.sells(ware, 3, amount=109_40)
    return ware


@pytest.mark.parametrize(
    ("leftovers", "kind"),
    [(Leftovers.HOME, Place.Kind.STUDIO), (Leftovers.ONLINE, Place.Kind.ONLINE)],
)
def test_leftovers_move_on_after_the_count(
    stall: Stall, tumbler: Ware, leftovers: Leftovers, kind: Place.Kind
) -> None:
    """Home or online: the statement says so, and the next weekend opens without them."""
    stall.counts(tumbler, 7)
    stall.counts_cash(109_40)
    closing = stall.closes(leftovers=leftovers)
    line = closing.lines.get()
    assert (line.counted, line.home, line.left) == (7, 7, 0)
    assert (at(stall.place, tumbler), at(ledger.the_place(kind), tumbler)) == (0, 7)
    assert stall.line(tumbler, weekend=stall.second) is None


def test_a_held_piece_goes_home_with_its_hold(stall: Stall, tumbler: Ware) -> None:
    """It stays held for whom it was."""
    held = holds.hold(
        key="h", ware_id=tumbler.pk, at=stall.place, purpose="order", label="Order 4",
        who=stall.owner, now=SATURDAY_NOON,
    )  # fmt: skip
    stall.counts(tumbler, 7)
    stall.counts_cash(109_40)
    assert stall.closes(leftovers=Leftovers.HOME).lines.get().home == 7
    held.refresh_from_db()
    assert (held.place, held.quantity) == (shelf(), 1)


def test_a_held_piece_that_is_missing_stops_the_closing(stall: Stall, tumbler: Ware) -> None:
    """Somebody was promised it: the hold is released by name first, and nothing is written."""
    holds.hold(
        key="h", ware_id=tumbler.pk, at=stall.place, quantity=7, purpose="order", label="Order 4",
        who=stall.owner, now=SATURDAY_NOON,
    )  # fmt: skip
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "gone")
    stall.counts_cash(109_40)
    with pytest.raises(HeldPiece, match="Order 4"):
        stall.closes()
    assert Closing.objects.count() == 0
